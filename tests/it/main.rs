//! One test program; one module a slice. Tests send requests to the router in process.

mod api_plans;
mod bench;
mod book;
mod harness;
