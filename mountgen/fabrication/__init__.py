"""From detailed parts to the shop floor: part marks, nest, bar plan, lists, times and costs."""
