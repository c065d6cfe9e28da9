import json
import math

import jsonschema
import msgspec
import pytest

from takeoff.errors import InputError, OutputError
from takeoff.plan.model import (
    Behind,
    Field,
    Job,
    Opening,
    OpeningId,
    Plane,
    Region,
    RegionId,
    Room,
    RoomId,
    Side,
    SideId,
    Storey,
    StoreyId,
)
from takeoff.storage import jobs
from takeoff.storage.jobs import dump, job_schema, load

SCHEMA = '"schema": "takeoff-job/2"'


def small_job() -> Job:
    corners = [(0, 0), (5000, 0), (5000, 4000), (0, 4000)]
    sides = tuple(Side(id=SideId(f"s{i}"), x_mm=x, y_mm=y) for i, (x, y) in enumerate(corners))
    beam = Region(
        id=RegionId("beam"), op="lower", outline=((0, 0, 0), (300, 0, 0), (300, 4000, 0), (0, 4000, 0)),
        planes=(Plane(z_mm=2200),), what="beam",
    )  # fmt: skip
    side = msgspec.structs.replace(sides[0], behind=(Behind(cls="outside"),))
    room = Room(
        id=RoomId("r1"), name="Küche", outline=(side, *sides[1:]),
        ceiling=Field(planes=(Plane(z_mm=2400),), regions=(beam,)),
    )  # fmt: skip
    window = Opening(
        id=OpeningId("o1"), kind="window", room=RoomId("r1"), side=SideId("s0"),
        offset_mm=1000, width_mm=1200, sill_mm=900, head_mm=2100,
    )  # fmt: skip
    return Job(name="Demo", storeys=(Storey(id=StoreyId("g"), rooms=(room,), openings=(window,)),))


def refusal(text: str | bytes) -> str:
    with pytest.raises(InputError) as error:
        load(text.encode() if isinstance(text, str) else text, "plan.json")
    said = str(error.value)
    assert "plan.json" in said
    assert said[-1] in ".?"
    assert said.count("\n") == 0
    return said


def test_a_job_reads_back_as_the_same_value():
    job = small_job()
    assert load(dump(job), "plan.json") == job


def test_a_dump_is_the_same_bytes_each_time_and_starts_with_its_format():
    assert dump(small_job()) == dump(small_job())
    assert dump(small_job()).startswith(b'{\n "schema": "takeoff-job/2",\n "name": "Demo"')


def test_a_dump_satisfies_the_published_schema():
    schema = job_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    validator.validate(json.loads(dump(small_job())))
    validator.validate(json.loads(dump(Job())))


@pytest.mark.parametrize(
    "text",
    ["{}", f'{{{SCHEMA}, "huh": 1}}', f'{{{SCHEMA}, "storeys": [{{"id": 3}}]}}',
     f'{{{SCHEMA}, "storeys": [{{"name": "no id"}}]}}', f'{{{SCHEMA}, "bead_default": "maybe"}}'],
)  # fmt: skip
def test_what_the_schema_refuses_the_reader_refuses_too(text):
    assert not jsonschema.Draft202012Validator(job_schema()).is_valid(json.loads(text))
    refusal(text)


def test_a_wrong_type_is_named_with_its_path():
    tree = json.loads(dump(small_job()))
    tree["storeys"][0]["rooms"][0]["outline"][1]["x_mm"] = "5 m"
    said = refusal(json.dumps(tree))
    assert "storeys[0].rooms[0].outline[1].x_mm: must be a number, but is text" in said


def test_a_mistyped_field_is_named_and_the_right_one_offered():
    said = refusal(f'{{{SCHEMA}, "storeys": [{{"id": "g", "heigth_mm": 2400}}]}}')
    assert "storeys[0]: the field “heigth_mm” is not known: is it “height_mm”?" in said


@pytest.mark.parametrize(
    ("value", "shown"),
    [('"warm"', "'warm'"), ("21.5", "21.5"), ('[{"a": 1}]', "a list"), ('{"a": 1}', "a record"), ("null", "null"),
     ("[" * 200 + "]" * 200, "a list")],
)  # fmt: skip
def test_a_field_of_a_newer_program_is_named_with_what_would_be_lost(value, shown):
    assert refusal(f'{{{SCHEMA}, "storeys": [{{"id": "g", "heating": {value}}}]}}') == (
        "plan.json: storeys[0]: the field “heating” is not known; a newer program may have written it: open the file "
        f"there, or take the field out and lose {shown}."
    )


def test_a_field_beside_the_one_it_resembles_is_of_a_newer_program_and_no_slip():
    said = refusal(f'{{{SCHEMA}, "storeys": [{{"id": "g", "height_mm": 2400, "heights_mm": 2500}}]}}')
    assert "“heights_mm” is not known; a newer program" in said
    assert said.endswith("lose 2500.")


@pytest.mark.parametrize(
    ("storey", "lost"),
    [('{"id": "g", "heating": 1}', "the field storeys[0].heating"), ('{"id": "g"}', "what is new in it"),
     ('{"id": 1, "heating": 1}', "what is new in it"), ('{"id": "g", "he\\nat": 1}', "the field storeys[0].he at"),
     ('{"id": "g", "\\ud800": 1}', "what is new in it")],
)  # fmt: skip
def test_a_higher_format_is_refused_with_the_number_and_what_would_be_lost(storey, lost):
    assert refusal(f'{{"schema": "takeoff-job/3", "storeys": [{storey}]}}') == (
        "plan.json was saved by a newer version of the program (format 3, here up to 2): install the newer version, or "
        f"{lost} is lost."
    )


def test_a_word_that_is_not_allowed_is_shown_with_those_that_are():
    tree = json.loads(dump(small_job()))
    tree["storeys"][0]["openings"][0]["kind"] = "hatch"
    said = refusal(json.dumps(tree))
    assert "storeys[0].openings[0].kind: 'hatch' is none of the words allowed" in said
    assert "(door, open, window)" in said


def test_a_missing_field_is_named():
    assert "storeys[0]: the field “id” is missing" in refusal(f'{{{SCHEMA}, "storeys": [{{}}]}}')


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e999", "1" + "0" * 400])
def test_a_number_that_is_none_is_refused_at_its_place(number):
    said = refusal(f'{{{SCHEMA}, "storeys": [{{"id": "g", "level_mm": {number}}}]}}')
    assert "storeys[0].level_mm" in said


def test_a_field_that_stands_twice_is_refused():
    said = refusal(f'{{{SCHEMA}, "storeys": [{{"id": "g", "times": 1, "times": 2}}]}}')
    assert "storeys[0]: the field “times” is there twice" in said


def test_nesting_without_end_is_refused():
    assert "nested" in refusal('{"a":' * 100_000)
    assert "nested" in refusal("[" * 5000 + "]" * 5000)


@pytest.mark.parametrize(
    ("text", "place"),
    [('{"a":' * 5000, "a"),
     (f'{{{SCHEMA}, "storeys": [{{"times": 1, "id": "g"}}, {{"id": {"[" * 5000}{"]" * 5000}}}]}}', "storeys[1].id"),
     # Brackets, commas and quotes within a text open nothing and end nothing.
     (f'{{{SCHEMA}, "name": "a, [{{\\"[:,", "storeys": [{{"rooms": [{{}}, {{"id": "r", "note": {"[1," * 5000}',
      "storeys[0].rooms[1].note"),
     (f'{{{SCHEMA}, "storeys": [{{"rooms": [{{"outline": [[], {"[" * 5000}', "storeys[0].rooms[0].outline[1][0]"),
     (f'{{{SCHEMA}, "n\\u00e4me": {"[" * 5000}', "näme"),
     (f'{{{SCHEMA}, "a\\nb\\ud800{"x" * 500}": {"[" * 5000}', "a b?" + "x" * 55 + "…")],
    ids=["name in name", "list for a text", "after brackets", "in a list", "an escaped name", "a broken name"],
)  # fmt: skip
def test_nesting_without_end_is_named_with_its_field(text, place):
    assert refusal(text) == (
        f"plan.json: {place} is nested far deeper than any job: take out what it holds, or choose another file."
    )


@pytest.mark.parametrize("depth", [300, 480, 700, 900, 960])
@pytest.mark.parametrize("word", ["plain", "with \u200b and \\u200b", "\\u0041"])
def test_json_nested_as_deep_as_can_be_read_is_no_error_of_the_program(depth, word):
    """Cleaning the texts and bringing older formats up goes down the tree once more than reading it does."""
    for version in (1, 2):
        said = refusal(f'{{"schema": "takeoff-job/{version}", "name": "{word}", "x": {"[" * depth}{"]" * depth}}}')
        assert "nested" in said or "“x” is not known" in said
    assert "“a” is not known" in refusal(f'{{{SCHEMA}, "a": ' + '{"a":' * 100 + "1" + "}" * 101)


@pytest.mark.parametrize(
    ("data", "word"),
    [
        (b"", "empty"),
        (b" \n", "empty"),
        (b"\xff\xfe\x00", "UTF-8"),
        (b"{", "line 1, column 2"),
        (b"[1]", "must be a record"),
        (b'"text"', "must be a record"),
        (b"{}", "missing"),
        (b'{"schema": 1}', "says 1"),
        (b'{"schema": "other/1"}', "other/1"),
        (b'{"schema": "takeoff-job/3"}', "newer version"),
        (b'{"schema": "takeoff-job/0"}', "no way leads"),
        (b'{"schema": "takeoff-job/2", "name": "\\ud800"}', "half a character"),
        (b'{"schema": "takeoff-job/2", "name": ' + b"1" * 5000 + b"}", "thousands of digits"),
        (b'{"schema": "takeoff-job/2", "drawings": 7}', "drawings: must be a list"),
        (b'{"schema": "takeoff-job/2", "storeys": [{"id": "g", "building": [[[1, 2]]]}]}', "building[0][0]"),
    ],
)  # fmt: skip
def test_what_is_no_job_is_refused_in_one_sentence(data, word):
    assert word in refusal(data)


def test_a_byte_order_mark_is_let_pass():
    assert load(b"\xef\xbb\xbf" + dump(Job(name="x")), "plan.json").name == "x"


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
def test_a_job_with_a_number_that_is_none_is_never_written(number):
    job = Job(storeys=(Storey(id=StoreyId("g")), Storey(id=StoreyId("u"), level_mm=number)))
    with pytest.raises(OutputError, match=r"storeys\[1\]\.level_mm: the number is not finite"):
        dump(job)


def test_a_nan_where_null_would_be_allowed_is_not_written_as_null():
    side = Side(id=SideId("s"), x_mm=0, y_mm=0, open_from_mm=math.nan)
    job = Job(storeys=(Storey(id=StoreyId("g"), rooms=(Room(id=RoomId("r"), outline=(side,)),)),))
    with pytest.raises(OutputError, match="open_from_mm"):
        dump(job)


def test_a_job_with_a_value_of_a_wrong_type_is_never_written():
    with pytest.raises(OutputError, match="name: must be text"):
        dump(Job(name=5))  # type: ignore[arg-type]
    with pytest.raises(OutputError):
        dump(Job(name="\ud800"))


def test_an_older_format_is_brought_up_to_date_step_by_step(monkeypatch):
    # An invented older format, in which a storey was called a floor.
    def floors_become_storeys(tree):
        tree["storeys"] = tree.pop("floors")
        return tree

    monkeypatch.setitem(jobs.MIGRATIONS, 0, floors_become_storeys)
    job = load(b'{"schema": "takeoff-job/0", "floors": [{"id": "g"}]}', "old.json")
    assert job == Job(storeys=(Storey(id=StoreyId("g")),))
    with pytest.raises(InputError, match=r"old\.json is no sound job of format 0"):
        load(b'{"schema": "takeoff-job/0"}', "old.json")
    with pytest.raises(InputError, match=r"storeys\[0\]\.id: must be text"):
        load(b'{"schema": "takeoff-job/0", "floors": [{"id": 1}]}', "old.json")
