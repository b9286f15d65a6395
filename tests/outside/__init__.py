"""Checks of the main job against published sources.

Each module names its sources. How well a source was read is said in these words:

    read        the clause or table was read, in the standard or in a full transcription of it
    excerpt     a passage of the source was read, not the whole clause
    secondary   only texts or programs that quote the source were read
    memory      from memory, not verified

Where no source was found, it says 'common practice, no source'.
"""
