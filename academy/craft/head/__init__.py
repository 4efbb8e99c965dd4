"""The head: its shape, hair zones, section patterns, foils, and the drawn head sheet.

`shape` and `zones` say where things are, `sectioning`, `drawn` and `foils` what is laid where,
`sheet` turns places on the head into places on the five views and back, `svg` draws the views.
Lengths are millimetres, angles degrees. A place on a head is an azimuth and an elevation, so that
it means the same on every head size. How it works: docs/head.md.
"""
