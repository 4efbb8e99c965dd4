"""Hair colour as numbers: colour spaces, the ten depth swatches, and white among natural hair.

`spaces` converts between CIELAB, light and display colours, `swatches` holds what the academy
calls depth 1 to 10, `white` mixes white hair into it. Colours are plain floats: an eye reads
them, nobody weighs them.
"""
