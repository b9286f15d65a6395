"""Recording: the cause that was found goes into the log of calls, and changes the weights."""

from __future__ import annotations

from pathlib import Path

from audit.diagnosis.asked import Asked
from audit.diagnosis.diagnose import diagnose, past_of, priors
from audit.diagnosis.examined import Case
from audit.diagnosis.log import Log, append
from audit.diagnosis.words import percent
from audit.model.call import Call
from audit.phrases import counted


def record(path: Path, cause: str, time: str, case: Case, asked: Asked, log: Log | None) -> list[str]:
    """Add a call to a log, and return what to say of it. Raises InputProblems if it cannot be written."""
    node = diagnose(case, asked, log)
    call = Call(
        asfound="joining-call/1",
        time=time,
        site=case.site.plan.site.name,
        tag=case.tag,
        joined=node.joined_before,
        cause=cause,
        evidence=tuple(one.id for one in node.evidence),
    )
    append(path, call)
    earlier = log or Log(path.as_posix(), "", ())
    later = Log(path.as_posix(), "", (*earlier.calls, call))
    past = past_of(case, asked)
    before, now = (priors(case, past, one)[0][cause] for one in (earlier, later))
    words = [
        f"recorded in {path.as_posix()}: {case.tag}, {cause}",
        f"the log has {counted(len(later.calls), 'call')}; the weight of {cause} for such a node was "
        f"{percent(before)} and is now {percent(now)}",
    ]
    names = case.site.plan.site.names
    same = [one for one in earlier.calls if one.tag == call.tag and one.site in names]
    if same:
        words.append(
            f"{call.tag} was recorded before, at {same[-1].time}; if this is the same call, delete one line"
        )
    return words
