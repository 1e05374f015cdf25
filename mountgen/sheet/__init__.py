"""Sheet metal: one tree of flanges that gives both the folded solid and the flat pattern."""
