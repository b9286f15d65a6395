"""The commands that write, each with what it writes, on the examples."""

from __future__ import annotations

from dataclasses import dataclass

OSTERVIK = ("examples/ostervik/plan.yaml", "examples/ostervik/as-found", "--on", "2026-05-20")
PELLMOOR = "examples/pellmoor"


@dataclass(frozen=True)
class Command:
    """A command line, in which `@name` is a file to be written into the folder of the round."""

    name: str
    words: tuple[str, ...]
    grows: bool = False
    """Whether its file grows line by line, instead of being written whole."""

    def outputs(self) -> list[str]:
        """Return the names of the files that it writes."""
        return [word[1:] for word in self.words if word.startswith("@")]


COMMANDS = (
    Command("check", ("check", *OSTERVIK, "--out", "@r.json", "--out", "@r.html", "--out", "@r.sarif",
                      "--out", "@r.csv", "--out", "@r.md", "--out", "@r.junit.xml")),
    Command("plan", ("plan", "examples/merrow-vale/plan.yaml", "--suggest", "addresses", "--out", "@s.json")),
    Command("figures", ("figures", "examples/sallow-creek/plan.yaml", "--out", "@f.json", "--out", "@f.csv")),
    Command("sheet", ("sheet", "examples/tarnbeck/plan.yaml", "--out", "@s.xlsx", "--out", "@cards.html")),
    Command("form", ("sheet", "examples/tarnbeck/plan.yaml", "--form", "@form.html")),
    Command("sample", ("sample", f"{PELLMOOR}/plan.yaml", "--lot", "site", "--confidence", "95",
                       "--defective", "20", "--seed", "x", "--out", "@sample.json", "--out", "@route.html")),
    Command("seal", ("seal", "examples/tarnbeck/plan.yaml", "examples/tarnbeck/as-left", "--on", "2026-05-01",
                     "--signed-by", "R. Sample", "--out", "@baseline.json")),
    Command("drift", ("drift", f"{PELLMOOR}/baselines/2025.json", f"{PELLMOOR}/as-found", "--plan",
                      f"{PELLMOOR}/plan.yaml", "--on", "2026-06-10", "--out", "@d.json", "--out", "@d.html")),
    Command("history", ("history", f"{PELLMOOR}/baselines", "--out", "@h.html", "--out", "@h.csv")),
    Command("summary", ("summary", "examples/ostervik/earlier.json", "--out", "@sum.html")),
    Command("worklist", ("worklist", "examples/tarnbeck/plan.yaml", "examples/tarnbeck/as-found", "--on",
                         "2026-04-20", "--out", "@w.csv", "--out", "@w.html", "--out", "@w.xlsx")),
    Command("why", ("why", "PT-63", "examples/merrow-vale/plan.yaml", "examples/merrow-vale/as-found", "--on",
                    "2026-04-20", "--record", "radio-settings", "--log", "@calls.jsonl"), grows=True),
)  # fmt: skip
