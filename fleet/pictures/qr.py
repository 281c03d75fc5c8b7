"""A QR code (ISO/IEC 18004) as SVG: an address that a telephone's camera opens."""

import io

import segno

# Modules of light around it: 6.3.8 of the standard asks for four.
QUIET = 4


def qr_svg(text: str) -> str:
    """One path, black on nothing, sized by whoever places it.

    Error correction of level M at least (about 15 %): grease and a fold are what paper in a shop
    gets. Raises ValueError for a text that no code holds.
    """
    made = segno.make(text, error="m", micro=False, boost_error=True)
    out = io.BytesIO()
    made.save(out, kind="svg", border=QUIET, xmldecl=False, svgns=True, omitsize=True, nl=False,
              svgclass=None, lineclass=None)  # fmt: skip
    return out.getvalue().decode()
