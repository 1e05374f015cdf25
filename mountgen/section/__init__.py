"""Reads a rail's cross-section from a drawing (DXF) and says what it understood.

The way of a drawing: file (`file`) -> lines and arcs in space (`strokes`) -> the plane and millimetres
(`plane`, `unit`) -> joined ends (`joining`) -> closed contours (`contours`, `nesting`) -> what kind of
rail it is (`walls`, `kinds`, `slots`, `frame`) -> a `Section`. ezdxf is imported in `file`, typst in
`picture`, both only when they are used.
"""
