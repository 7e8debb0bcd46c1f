"""What can be looked at: frames in, an answer out; a module for each view and its parts, and `catalog`, which names them."""
