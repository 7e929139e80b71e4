//! Shot lists in, shot lists and setups out.
