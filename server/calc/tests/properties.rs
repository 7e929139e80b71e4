//! What holds for every calculation whatever it is given, and laws between calculations.

#[path = "properties/given.rs"]
mod given;
#[path = "properties/laws.rs"]
mod laws;
#[path = "properties/total.rs"]
mod total;
