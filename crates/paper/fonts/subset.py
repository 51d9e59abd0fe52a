#!/usr/bin/env python3
"""Make the two faces embedded in every drawing from the published IBM Plex Sans 3.005 (OFL 1.1).

    npm pack @ibm/plex-sans@1.1.0 && tar xzf ibm-plex-sans-1.1.0.tgz
    pip install fonttools==4.60.1 brotli
    python3 crates/paper/fonts/subset.py package/fonts/complete/woff2

The licence reserves the font name "Plex", so a subset has to carry another: it is called "Stillroom Sans".
The default figures are already tabular (600 units each). Kerning and ligature tables are dropped, so that the
width measured here, the width in the PDF and the width in a browser are the same sum of advances.
"""
import pathlib
import sys

from fontTools import subset
from fontTools.ttLib import TTFont

FAMILY = "Stillroom Sans"
FACES = [("IBMPlexSans-Regular", "Regular", "stillroom-sans-regular.ttf"),
         ("IBMPlexSans-SemiBold", "SemiBold", "stillroom-sans-semibold.ttf")]
CHARACTERS = (
    [chr(c) for c in range(0x20, 0x7F)] + [chr(c) for c in range(0xA0, 0x180)]
    + list("–—…‘’‚“”„†•‰′″‹›€™Ω√∞≈≠≤≥−×·∆∑∏∂∫")
    + list("ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨΩαβγδεζηθικλμνξοπρςστυφχψω")
    + list("₀₁₂₃₄₅₆₇₈₉⁰⁴⁵⁶⁷⁸⁹⅓⅔⅛⅜⅝⅞")
    + list("←↑→↓↔↕✓")
    + ["\u00a0", "\u2009", "\u202f", "\u2011"]
)


def main(folder: str) -> None:
    here = pathlib.Path(__file__).parent
    for source, style, target in FACES:
        font = TTFont(pathlib.Path(folder) / f"{source}.woff2", recalcTimestamp=False)
        assert "glyf" in font, "an outline table of the TrueType kind is needed"
        figures = {font["hmtx"][font.getBestCmap()[ord(d)]][0] for d in "0123456789"}
        assert figures == {600}, f"the default figures are not tabular: {figures}"
        options = subset.Options()
        options.layout_features = []
        options.drop_tables += ["GSUB", "GPOS", "GDEF", "DSIG", "kern", "meta", "STAT"]
        options.hinting = False
        options.notdef_outline = True
        options.glyph_names = False
        options.name_IDs = [0, 1, 2, 3, 4, 5, 6, 13, 14, 16, 17]
        options.name_languages = [0x409]
        maker = subset.Subsetter(options)
        maker.populate(text="".join(CHARACTERS))
        maker.subset(font)
        postscript = FAMILY.replace(" ", "") + "-" + style
        names = {
            0: "Copyright 2017 IBM Corp. with Reserved Font Name \"Plex\". Subset renamed under the SIL OFL 1.1.",
            1: FAMILY if style == "Regular" else f"{FAMILY} {style}", 2: "Regular", 3: f"{postscript};3.005",
            4: f"{FAMILY} {style}", 5: "Version 3.005", 6: postscript,
            13: "This Font Software is licensed under the SIL Open Font License, Version 1.1.",
            14: "https://openfontlicense.org", 16: FAMILY, 17: style,
        }
        font["name"].names = []
        for identifier, text in names.items():
            font["name"].setName(text, identifier, 3, 1, 0x409)
        font.flavor = None
        font.save(here / target)
        missing = [c for c in CHARACTERS if ord(c) not in font.getBestCmap()]
        print(target, (here / target).stat().st_size, "bytes, not in the source:", " ".join(f"U+{ord(c):04X}" for c in missing))


if __name__ == "__main__":
    main(sys.argv[1])
