#!/usr/bin/env python3
"""Audit a DXF with ezdxf: read it, list what is in it, fail on any error or fix.

    pip install ezdxf==1.4.2
    DXF_AUDIT_FILE=/tmp/fixture.dxf cargo test -p paper --test exporters dxf_for_an_outside_audit
    python3 oracles/dxf_ezdxf.py /tmp/fixture.dxf
"""
import collections
import sys

import ezdxf


def main(paths: list[str]) -> int:
    bad = 0
    for path in paths:
        document = ezdxf.readfile(path)
        auditor = document.audit()
        kinds = collections.Counter(entity.dxftype() for entity in document.modelspace())
        layers = sorted(layer.dxf.name for layer in document.layers)
        missing = {entity.dxf.layer for entity in document.modelspace()} - set(layers)
        unknown = {entity.dxf.linetype for entity in document.modelspace()} - {t.dxf.name for t in document.linetypes}
        unknown -= {"BYLAYER"}
        print(path, document.dxfversion, dict(kinds), "layers", layers)
        print("  errors", len(auditor.errors), "fixes", len(auditor.fixes), "layers not listed", sorted(missing),
              "line types not listed", sorted(unknown))
        words = [entity.plain_text() for entity in document.modelspace().query("TEXT")]
        print("  texts", words[:12])
        bad += len(auditor.errors) + len(auditor.fixes) + len(missing) + len(unknown)
    return min(bad, 1)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
