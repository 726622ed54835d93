//! The command line; everything else is in the library.

fn main() {}
