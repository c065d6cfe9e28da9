"""What was settled is known again by its facts and its place: in other words or another language it is the same."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from string import Formatter

import pytest
from msgspec.structs import replace

from takeoff.errors import Facts, Finding, Where
from takeoff.findings import RULES, known_again, noticed
from takeoff.findings.known_again import PLACED, WORDED, plain
from takeoff.findings.rules import Rule
from takeoff.language import LANGUAGES
from takeoff.language.catalogue import Catalogue, catalogue, use_catalogue
from takeoff.measure import measure
from takeoff.plan.edits import settling_edits as settling
from takeoff.plan.model import Job, Room, RoomId, Settled, Side, SideId, Storey, StoreyId, Unsettled
from takeoff.plan.settled import _sentences_kept, known_among, open_findings, with_unsettled
from takeoff.services.measured.job_result import still_open
from takeoff.storage.jobs import dump, load

HERE = Where(storey="g", room="r1")
AREA = noticed("printed-area-differs", HERE, printed="12.40 m²", room="room 1", area_m2="12.000")


@pytest.fixture(autouse=True)
def _english_again() -> Iterator[None]:
    yield
    use_catalogue("en", Catalogue({}, lambda count: int(count != 1)))


def house(*settled: Settled) -> Job:
    corners = ((0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (0.0, 3000.0))
    outline = tuple(Side(id=SideId(f"s{k}"), x_mm=x, y_mm=y) for k, (x, y) in enumerate(corners))
    room = Room(id=RoomId("r1"), name="Kitchen", outline=outline, confidence="check")
    return Job(storeys=(Storey(id=StoreyId("g"), height_mm=2400.0, rooms=(room,)),), settled=settled)


def of_before(finding: Finding) -> Settled:
    """As a job kept it while it kept sentences only."""
    return Settled(code=finding.code, text=finding.text, where=finding.where)


def reworded(monkeypatch: pytest.MonkeyPatch, code: str, sentence: str) -> None:
    monkeypatch.setitem(RULES, code, replace(RULES[code], sentence=sentence))


def test_a_reworded_sentence_is_not_asked_again_and_another_figure_is(monkeypatch: pytest.MonkeyPatch) -> None:
    job = settling.accept_findings(house(), [AREA])
    reworded(monkeypatch, AREA.code, "{area_m2} m² lie within {room}, and {printed} are written: measure one side.")
    again = noticed("printed-area-differs", HERE, printed="12.40 m²", room="Kitchen", area_m2="12.000")
    assert again.text != AREA.text
    assert open_findings(job, [again]) == ()
    other = noticed("printed-area-differs", HERE, printed="12.40 m²", room="Kitchen", area_m2="12.100")
    elsewhere = replace(again, where=Where(storey="g", room="r1", x_mm=500.0))
    assert open_findings(job, [again, other, elsewhere]) == (other, elsewhere)


def test_a_translated_sentence_is_not_asked_again() -> None:
    told = noticed("storey-height-odd", Where(storey="g"), storey="Ground floor", height="2,932.3 mm", meant="2.93 m")
    job = settling.accept_findings(house(), [told])
    use_catalogue("de", catalogue("de"))
    said = noticed("storey-height-odd", Where(storey="g"), storey="Erdgeschoss", height="2.932,3 mm", meant="2,93 m")
    assert said.text != told.text
    assert open_findings(job, [said]) == ()
    other = noticed("storey-height-odd", Where(storey="g"), storey="Erdgeschoss", height="2.933,3 mm", meant="2,93 m")
    assert open_findings(job, [other]) == (other,)


def test_a_name_is_the_same_between_any_quotation_marks() -> None:
    assert plain("“Bead” at „Hall“") == plain("„Bead“ at “Hall”") == "bead at hall"


def test_a_job_settled_in_old_words_keeps_its_answers(monkeypatch: pytest.MonkeyPatch) -> None:
    """The sentence as version 0 of the ledger had it, kept in a file; the ledger says it otherwise today."""
    text = _sentences_kept()[AREA.code].format(printed="12.40 m²", room="room 1", area_m2=12.0)
    assert text != AREA.text
    old = house(replace(of_before(AREA), text=text))
    old = load(dump(old), "job.json")
    assert old.settled[0].facts is None
    assert open_findings(old, [AREA]) == ()
    reworded(monkeypatch, AREA.code, "{room}: {printed} are written, {area_m2} m² drawn. Measure one side.")
    again = noticed("printed-area-differs", HERE, printed="12.40 m²", room="room 1", area_m2="12.000")
    other = noticed("printed-area-differs", HERE, printed="12.50 m²", room="room 1", area_m2="12.000")
    assert open_findings(old, [again, other]) == (other,)
    assert still_open(old, [again, other], measure(old))[0].where == HERE
    assert [f for f in still_open(old, [again, other], measure(old)) if f.code == AREA.code] == [other]


def test_files_of_before_are_read_and_new_ones_keep_facts() -> None:
    job = settling.accept_findings(house(), [AREA])
    tree = json.loads(dump(job))
    assert tree["settled"][0]["facts"]["key"] == "printed-area-differs"
    assert load(dump(job), "job.json").settled == job.settled
    tree["settled"] = [{"code": AREA.code, "text": AREA.text, "where": {"storey": "g", "room": "r1"}}]
    assert load(json.dumps(tree).encode(), "job.json").settled == (of_before(AREA),)


def test_what_a_job_brought_is_told_once_whatever_language_it_was_told_in() -> None:
    told = noticed("block-missing", file="a.dxf", blocks="SINK, CHAIR")
    job = with_unsettled(house(), [told])
    use_catalogue(
        "de", Catalogue({(None, RULES["block-missing"].sentence): ("{file}: {blocks} fehlen.",)}, lambda n: 0)
    )
    now = noticed("block-missing", file="a.dxf", blocks="SINK, CHAIR")
    assert now.text == "a.dxf: SINK, CHAIR fehlen."
    assert [f for f in still_open(job, [now], measure(job)) if f.code == "block-missing"] == [now]
    other = noticed("block-missing", file="a.dxf", blocks="SINK, BATH")
    assert len([f for f in still_open(job, [other], measure(job)) if f.code == "block-missing"]) == 2


@pytest.mark.parametrize("key", sorted(RULES))
def test_every_finding_is_known_again_in_any_words(key: str, monkeypatch: pytest.MonkeyPatch) -> None:
    facts = example(RULES[key])
    told = noticed(key, HERE, **facts)
    job = settling.accept_findings(house(), [replace(told, severity="check")])
    monkeypatch.setitem(RULES, key, replace(RULES[key], sentence=f"Otherwise said: {RULES[key].sentence}"))
    again = replace(noticed(key, HERE, **facts), severity="check")
    assert again.text != told.text
    assert open_findings(job, [again]) == ()
    kept = re.sub(r"{(\w+):[^{}]*}", lambda part: as_printed(part, facts), _sentences_kept().get(key, ""))
    if fact_names(kept) == facts.keys():
        old = replace(of_before(told), text=kept.format(**facts))
        assert open_findings(house(old), [again]) == ()


def as_printed(part: re.Match[str], facts: dict[str, object]) -> str:
    """A fact that is told as it is printed needs no form of its own."""
    return f"{{{part[1]}}}" if isinstance(facts.get(part[1]), str) else part[0]


def fact_names(sentence: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(sentence) if name}


def test_hardly_a_sentence_that_jobs_kept_is_not_known_again() -> None:
    """Those whose facts are others since are asked again; most are the same, else nothing would be tried above."""
    kept = _sentences_kept()
    assert sum(key in RULES and fact_names(kept[key]) == RULES[key].facts for key in kept) > 200


@pytest.mark.parametrize("key", sorted(k for k, rule in RULES.items() if rule.facts - PLACED.keys()))
def test_every_finding_with_another_figure_is_another(key: str) -> None:
    facts = example(RULES[key])
    job = settling.accept_findings(house(), [replace(noticed(key, HERE, **facts), severity="check")])
    for name in facts.keys() - PLACED.keys():
        other = facts | {name: f"{facts[name]}7" if isinstance(facts[name], str) else facts[name] + 70}
        changed = replace(noticed(key, HERE, **other), severity="check")
        assert open_findings(job, [changed]) == (changed,), name


def example(rule: Rule) -> dict[str, object]:
    """Facts for a sentence: numbers where it wants them, else words with a figure."""
    numbers = {part.split(":")[0] for part in rule.sentence.replace("}", "{").split("{")[1::2] if ":" in part}
    return {name: 12 if name in numbers else f"so{name} 12" for name in rule.facts}


def test_figures_and_lists_are_the_same_in_every_language() -> None:
    def facts(**named: str) -> known_again.Known:
        return known_again.known(Facts("k", tuple(named.items())), Where())

    assert set(known_again.JOINED) == set(LANGUAGES)
    assert facts(height="1,234.5 mm") == facts(height="1.234,5 mm") == facts(height="1\u202f234,5 mm")
    assert facts(height="1,234.5 mm") != facts(height="1,234.6 mm")
    assert facts(blocks="SINK, BATH and CHAIR") == facts(blocks="SINK, BATH und CHAIR")
    assert facts(blocks="SINK and 3 more") == facts(blocks="SINK und 3 weitere") != facts(blocks="SINK and 4 more")
    assert facts(blocks="SINK") != facts(blocks="BATH")
    assert facts(why="12 dimensions of 14 agree") == facts(why="von 14 Maßen stimmen 12")


def test_facts_that_are_told_apart_are_those_of_the_ledger() -> None:
    named = {name for rule in RULES.values() for name in rule.facts}
    assert named >= WORDED
    assert PLACED.keys() <= named


def test_old_errors_that_a_job_brought_are_the_same_as_those_told_now() -> None:
    told = noticed("block-missing", file="a.dxf", blocks="SINK")
    old = Unsettled(code=told.code, text=told.text)
    assert known_among([told])(old)
    assert known_among([old])(told)
    assert not known_among([told])(Unsettled(code=told.code, text="a.dxf: something else."))
