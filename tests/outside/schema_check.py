"""Checks the JSON Schemas against an outside validator, jsonschema (draft 7): every demo file is valid, and files with one
mistake each are not. YAML is read by PyYAML, which knows nothing of ours."""

import json
import pathlib
import subprocess
import sys

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
    print(f"{good} files valid, {len(wrong)} wrong ones refused")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
