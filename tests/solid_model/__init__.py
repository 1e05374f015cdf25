"""A mount as bonded solids, meshed by gmsh and solved by CalculiX: a second opinion on its space frame."""
