"""JSON Schema of the plan (`stillroom plan --json`) and of the choice (`stillroom choose --json`), read from the Rust types and their doc comments.

    python3 oracles/plan_schema.py        writes crates/plan/schema/plan.schema.json and choice.schema.json

The tests hold the demo's plan and choice against the files and need no Python.
"""
import json
import pathlib
import re
import sys

ROOT = pathlib.Path(__file__).resolve().parent.parent
NUMBERS = {"f64", "f32"}
WHOLE = {"usize", "u8", "u16", "u32", "u64", "i8", "i16", "i32", "i64", "isize"}
WORDS = {"String", "&'static str", "&str", "str"}
BY_BAND = {
    "type": "object",
    "description": "From nominal band in Hz (`31.5`, `1000`) to a value.",
    "additionalProperties": {"type": ["number", "null"]},
}
SPECIAL = {
    ("bands", "Spectrum"): BY_BAND,
    ("bands", "Readings"): BY_BAND,
    ("bands", "Octaves"): BY_BAND,
    ("bands", "OctaveReadings"): BY_BAND,
    ("bands", "Band"): {"type": "string", "description": "Nominal frequency in Hz."},
    ("bands", "OctaveBand"): {"type": "string", "description": "Nominal frequency in Hz."},
    ("sound", "Absorption"): BY_BAND,
    ("plan", "WallId"): {"type": "integer", "description": "Place of a wall in the ring, 0 first."},
    ("plan", "OpeningId"): {"type": "integer", "description": "Place of an opening in the file, 0 first."},
}


PRIVATE = {
    ("geometry", "corners"): "Corners, counter-clockwise.",
    ("sound", "median_db"): "Median by band, dB.",
    ("sound", "lower_db"): "10th percentile by band, dB.",
    ("sound", "upper_db"): "90th percentile by band, dB.",
}


def kebab(name):
    return re.sub(r"(?<!^)(?=[A-Z])", "-", name).lower()


def doc_of(lines):
    words = " ".join(line.strip()[3:].strip() for line in lines)
    return re.sub(r"\[(`[^`]+`)\]\([^)]*\)", r"\1", words).replace("\\[", "[").replace("\\]", "]").strip()


def split_top(text, mark=","):
    parts, depth, start = [], 0, 0
    for at, letter in enumerate(text):
        if letter in "<([{":
            depth += 1
        elif letter in ">)]}" and not (letter == ">" and text[at - 1] == "-"):
            depth -= 1
        elif letter == mark and depth == 0:
            parts.append(text[start:at])
            start = at + 1
    parts.append(text[start:])
    return [part for part in parts if part.strip()]


def block(text, opening):
    depth = 0
    for at in range(opening, len(text)):
        if text[at] == "{":
            depth += 1
        elif text[at] == "}":
            depth -= 1
            if depth == 0:
                return text[opening + 1 : at]
    raise ValueError("unclosed block")


def imports(text):
    """Name as used in the file -> (path parts, own name)."""
    found = {}

    def expand(prefix, tail):
        tail = tail.strip()
        if tail.endswith("}"):
            head, inner = tail.split("{", 1)
            parts = [part for part in head.strip().strip(":").split("::") if part]
            for one in split_top(inner[:-1]):
                expand(prefix + parts, one)
            return
        path, _, alias = tail.partition(" as ")
        parts = [part.strip() for part in path.split("::")]
        name = parts[-1]
        if name == "self":
            parts, name = parts[:-1], (prefix + parts)[-2] if len(parts) == 1 else parts[-2]
            found[alias.strip() or name] = prefix + parts
            return
        found[alias.strip() or name] = prefix + parts

    for use in re.findall(r"^\s*(?:pub(?:\([^)]*\))? )?use ([^;]+);", text, re.M):
        expand([], re.sub(r"\s+", " ", use))
    return found


class Source:
    def __init__(self, crate, path):
        self.crate, self.path = crate, path
        self.text = path.read_text()
        cut = self.text.find("#[cfg(test)]")
        if cut >= 0:
            self.text = self.text[:cut]
        self.imports = imports(self.text)


class Types:
    def __init__(self):
        self.found = {}
        for folder in sorted((ROOT / "crates").iterdir()):
            for path in sorted((folder / "src").rglob("*.rs")):
                source = Source(folder.name, path)
                for match in re.finditer(
                    r"((?:^[ \t]*///[^\n]*\n)+)((?:^[ \t]*#\[(?:[^\[\]]|\[[^\]]*\])*\]\n)*)^[ \t]*pub (struct|enum) (\w+)(?:<[^>]*>)?\s*(\{|\(|;)",
                    source.text,
                    re.M,
                ):
                    docs, attributes, sort, name, opening = match.groups()
                    self.found.setdefault((folder.name, name), []).append(
                        (source, doc_of(docs.strip().split("\n")), attributes, sort, opening, match.end() - 1)
                    )

    def get(self, source, path):
        name = path[-1]
        crate = source.crate
        if len(path) == 1 and name in source.imports:
            full = source.imports[name]
            name = full[-1]
            first = full[0]
            crate = source.crate if first in ("crate", "super", "self") else first
            path = full
        elif len(path) > 1:
            first = path[0]
            if first in source.imports:
                first = source.imports[first][0]
            crate = source.crate if first in ("crate", "super", "self") else first
        candidates = self.found.get((crate, name), [])
        if not candidates and crate != "" and (ROOT / "crates" / crate / "src/lib.rs").exists():
            exported = imports((ROOT / "crates" / crate / "src/lib.rs").read_text()).get(name)
            if exported and exported[0] not in ("crate", "super", "self", crate):
                crate = exported[0]
                candidates = self.found.get((crate, exported[-1]), [])
        if len(candidates) > 1:
            same = [one for one in candidates if one[0].path == source.path]
            stems = [one for one in candidates if one[0].path.stem in path or one[0].path.parent.name in path]
            candidates = same or stems or candidates
        return (crate, name), candidates[0] if candidates else None


class Schema:
    def __init__(self):
        self.types = Types()
        self.defs = {}
        self.missing = set()

    def of(self, source, text):
        text = text.strip()
        if text in NUMBERS:
            return {"type": ["number", "null"]}
        if text in WHOLE:
            return {"type": "integer"}
        if text in WORDS or re.fullmatch(r"&'\w+ str", text):
            return {"type": "string"}
        if text == "bool":
            return {"type": "boolean"}
        for wrapper in ("Vec", "Option", "Box"):
            if text.startswith(wrapper + "<") and text.endswith(">"):
                inner = self.of(source, text[len(wrapper) + 1 : -1])
                if wrapper == "Vec":
                    return {"type": "array", "items": inner}
                return {"anyOf": [inner, {"type": "null"}]} if wrapper == "Option" else inner
        if text.startswith("BTreeMap<"):
            key, value = split_top(text[len("BTreeMap<") : -1])
            return {"type": "object", "additionalProperties": self.of(source, value)}
        if text.startswith("[") and ";" in text:
            return {"type": "array", "items": self.of(source, text[1:].split(";")[0])}
        if text.startswith("("):
            return {"type": "array", "prefixItems": [self.of(source, one) for one in split_top(text[1:-1])]}
        path = [part.strip() for part in text.split("::")]
        key, found = self.types.get(source, path)
        name = f"{key[0]}.{key[1]}"
        if key in SPECIAL:
            self.defs[name] = SPECIAL[key]
        elif found is None:
            self.missing.add(f"{text} in {source.path.name}")
            return {}
        elif name not in self.defs:
            self.defs[name] = {}
            self.defs[name] = self.type_of(found)
        return {"$ref": f"#/$defs/{name}"}

    def type_of(self, found):
        source, doc, attributes, sort, opening, at = found
        if opening == "(":
            inner = source.text[at + 1 : source.text.index(")", at)]
            inner = re.sub(r"pub(?:\([^)]*\))? ", "", inner).strip().strip(",")
            return {**self.of(source, inner), "description": doc}
        if 'serde(into = "u8")' in attributes:
            return {"type": "integer", "description": doc}
        body = block(source.text, at)
        if sort == "struct":
            return {**self.fields(source, body), "description": doc}
        return {**self.variants(source, body, attributes), "description": doc}

    def fields(self, source, body):
        properties, required, closed = {}, [], True
        for docs, attributes, name, text in self.members(body):
            if "serde(skip)" in attributes:
                continue
            if "flatten" in attributes:
                closed = False
                continue
            text = re.split(r"\s\[|\s=", text)[0]
            field = self.of(source, text)
            if "serialize_with" in attributes or "serde(with" in attributes:
                field = {}
            docs = docs or PRIVATE.get((source.crate, name), "")
            properties[name] = {**field, "description": docs} if docs else field
            if "skip_serializing_if" not in attributes:
                required.append(name)
        out = {"type": "object", "properties": properties, "required": required}
        if closed:
            out["additionalProperties"] = False
        return out

    def members(self, body):
        pattern = re.compile(
            r"((?:^[ \t]*///[^\n]*\n)*)((?:^[ \t]*#\[[^\n]*\]\n)*)^[ \t]*(?:pub(?:\([^)]*\))? )?(\w+):", re.M
        )
        at = 0
        while match := pattern.search(body, at):
            docs, attributes, name = match.groups()
            rest = body[match.end() :]
            text = split_top(rest)[0]
            at = match.end() + len(text)
            yield doc_of(docs.strip().split("\n")) if docs.strip() else "", attributes, name, " ".join(text.split())

    @staticmethod
    def choice(word, content, doc):
        return {"type": "object", "properties": {word: {**content, "description": doc}}, "required": [word]}

    def variants(self, source, body, attributes):
        rename = kebab if "kebab-case" in attributes else (lambda name: name)
        tag = re.search(r'tag = "(\w+)"', attributes)
        choices, words = [], []
        pattern = re.compile(
            r"((?:^[ \t]*///[^\n]*\n)+)((?:^[ \t]*#\[[^\n]*\]\n)*)^[ \t]*(\w+)[ \t]*([({]|= \"[^\"]+\")?", re.M
        )
        at = 0
        while match := pattern.search(body, at):
            docs, _, name, kind = match.groups()
            doc = doc_of(docs.strip().split("\n"))
            at = match.end()
            if kind and kind.startswith("="):
                words.append((kind[3:-1], doc))
            elif kind == "{":
                inner = block(body, match.end() - 1)
                at = match.end() + len(inner)
                content = self.fields(source, inner)
                if tag:
                    content["properties"] = {tag.group(1): {"const": rename(name)}, **content["properties"]}
                    content["required"] = [tag.group(1), *content["required"]]
                    choices.append({**content, "description": doc})
                else:
                    choices.append(self.choice(rename(name), content, doc))
            elif kind == "(":
                inner = body[match.end() : body.index(")", match.end())]
                at = match.end() + len(inner)
                choices.append(self.choice(rename(name), self.of(source, inner), doc))
            elif tag:
                choices.append({"type": "object", "properties": {tag.group(1): {"const": rename(name)}}, "required": [tag.group(1)], "description": doc})
            else:
                words.append((rename(name), doc))
        choices = [{"const": word, "description": doc} for word, doc in words] + choices
        return {"anyOf": choices}


def write(name, title, out):
    schema = Schema()
    found = None
    for one in schema.types.found[("plan", name)]:
        found = one
    top = schema.type_of(found)
    document = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": title,
        **top,
        "$defs": {name: schema.defs[name] for name in sorted(schema.defs)},
    }
    if schema.missing:
        sys.exit("types not found: " + ", ".join(sorted(schema.missing)))
    out = ROOT / "crates/plan/schema" / out
    out.parent.mkdir(exist_ok=True)
    out.write_text(json.dumps(document, indent=1, ensure_ascii=False) + "\n")
    print(out.name, len(schema.defs), "types;", out.stat().st_size, "bytes")


def main():
    write("Plan", "Stillroom plan", "plan.schema.json")
    write("Choice", "Stillroom choice", "choice.schema.json")


if __name__ == "__main__":
    main()
