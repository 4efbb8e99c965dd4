"""Hair colour as numbers: spaces, swatches, white hair, tones, and how far colours lie apart.

`spaces` converts between CIELAB, light and display colours, `swatches` holds what the academy
calls depth 1 to 10, `white` mixes white hair into it, `tones` holds what warm stages and
counter-tones look like, `difference` measures how far two colours lie apart for an eye. Colours
are plain floats: an eye reads them, nobody weighs them.
"""
