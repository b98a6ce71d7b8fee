"""Checks the JSON Schemas against an outside validator, jsonschema (draft 7): every demo file is valid, and files with one
mistake each are not. YAML is read by PyYAML, which knows nothing of ours."""

import json
import pathlib
import re
import subprocess
import sys
import tempfile

import jsonschema
import yaml


class Plain(yaml.SafeLoader):
    """YAML 1.2 as our files mean it: no dates, and `on`, `off`, `yes`, `no` are words."""


Plain.yaml_implicit_resolvers = {
    letter: [(tag, pattern) for tag, pattern in resolvers if tag not in ("tag:yaml.org,2002:timestamp", "tag:yaml.org,2002:bool")]
    for letter, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


def read(path):
    return yaml.load(pathlib.Path(path).read_text(encoding="utf-8"), Plain)


def new_book(binary):
    """A fresh book, and the folder it is in."""
    folder = pathlib.Path(tempfile.mkdtemp()) / "evening"
    subprocess.run([binary, "--quiet", "new-book", str(folder)], check=True)
    return folder


def shape_mistakes(validators):
    """The mistakes of shape among the program's own cases (tests/it/messages): code, kind of file, and the file's value, which is
    a good one with the keys of the case put in."""
    shapes = ("unknown-key", "unknown-word", "wrong-value", "wrong-shape", "wrong-length", "number-for-text")
    tune = {"title": "Kettle", "id": "kettle", "music": "K:G\nG4 |\n"}
    book = {"book": 1, "id": "small", "title": "Small", "date": "2026-09-01", "box": "dg-21-third",
            "chapters": [{"title": "One", "tunes": ["tunes/a.yaml"]}]}
    for name in ("yaml", "book"):
        text = pathlib.Path(f"tests/it/messages/{name}.txt").read_text(encoding="utf-8")
        for case in text.split("\n== ")[1:]:
            code = re.match(r"[a-z-]+", case)[0]
            for kind, base in (("tune", tune), ("book", book)):
                piece = re.search(rf"^-- \+{kind}\n(.*?)(?=^--|^>>)", case, re.M | re.S)
                if code in shapes and piece:
                    yield code, kind, {**base, **yaml.load(piece[1], Plain)}


def main(binary):
    validators = {}
    for kind in ("book", "tune", "box"):
        schema = json.loads(subprocess.run([binary, "schema", kind], check=True, capture_output=True, text=True).stdout)
        jsonschema.Draft7Validator.check_schema(schema)
        validators[kind] = jsonschema.Draft7Validator(schema)
    good = 0
    for path in sorted(pathlib.Path("books").rglob("*.yaml")):
        if path.name.endswith(".settled.yaml"):
            continue
        kind = "book" if path.name == "book.yaml" else "tune"
        faults = list(validators[kind].iter_errors(read(path)))
        assert not faults, f"{path}: {faults[0].message}"
        good += 1
    for path in sorted(pathlib.Path("src/instrument/boxes").glob("*.yaml")):
        faults = list(validators["box"].iter_errors(read(path)))
        assert not faults, f"{path}: {faults[0].message}"
        good += 1
    assert good > 20, "the demo files are not where they were"

    book = read("books/first-steps/book.yaml")
    tune = read("books/first-steps/tunes/porch-step.yaml")
    box = read("src/instrument/boxes/dg-21-third.yaml")
    wrong = [
        ("book", book, {"titel": "x"}),
        ("book", book, {"book": 2}),
        ("book", book, {"page": {"size": "folio"}}),
        ("book", book, {"type": {"text": "11"}}),
        ("book", book, {"type": {"text": 11}}),
        ("book", book, {"front": ["title", "contens"]}),
        ("book", book, {"chapters": {"title": "x"}}),
        ("book", book, {"editions": {"big": {"id": "x"}}}),
        ("book", book, {"signs": {"direction": "off"}}),
        ("tune", tune, {"practice": ["fast"]}),
        ("tune", tune, {"pins": [{"bar": 1, "buton": 3}]}),
        ("tune", tune, {"pins": [{"bar": "x", "button": 3}]}),
        ("tune", tune, {"pins": [{"bar": 1, "finger": 7}]}),
        ("tune", tune, {"music": {"path": "x.abc"}}),
        ("tune", tune, {"id": "Porch Step"}),
        ("box", box, {"rows": [{"at": "middle"}]}),
        ("box", box, {"rows": [{"at": "outer", "buttons": [["D4"]]}]}),
        ("box", box, {"rows": [{"at": "outer", "buttons": [["D4", "H4"]]}]}),
        ("box", box, {"bellows": {"seconds": 0}}),
    ]
    for kind, base, change in wrong:
        assert validators[kind].is_valid(base), kind
        assert not validators[kind].is_valid({**base, **change}), f"{kind} takes {change}"
    for folder in [new_book(binary)]:
        for kind, path in (("book", folder / "book.yaml"), ("tune", folder / "tunes/kitchen-floor.yaml")):
            first = path.read_text(encoding="utf-8").splitlines()[0]
            modeline = re.fullmatch(r"# yaml-language-server: \$schema=(\S+)", first)
            assert modeline, f"{path} has no modeline: {first}"
            beside = json.loads((path.parent / modeline[1]).read_text(encoding="utf-8"))
            assert beside == validators[kind].schema, f"{path} names another schema"
            assert validators[kind].is_valid(read(path)), path
            good += 1
    refused = 0
    for code, kind, value in shape_mistakes(validators):
        assert not validators[kind].is_valid(value), f"the schema takes what the program refuses as {code}"
        refused += 1
    assert refused >= 20, f"only {refused} mistakes of shape were found"
    wrong += [None] * refused
    print(f"{good} files valid, {len(wrong)} wrong ones refused")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
