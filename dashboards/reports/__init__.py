"""Reports on paper: what a class and a program review carry away."""
