"""From detailed parts to the shop floor: nest, bar plan, lists, times and costs."""
