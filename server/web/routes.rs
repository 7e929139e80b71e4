//! A list of addresses that knows itself, so that the tests can try every one of them on every kind of caller.

use crate::app::App;
use axum::{Router, routing::MethodRouter};

/// A router of the program together with the addresses it answers. Slices build theirs with [`Self::route`] as they would
/// an `axum::Router`; who may open an address is said in `access::gate`.
#[derive(Default)]
pub struct Routes {
    router: Router<App>,
    paths: Vec<&'static str>,
}

impl Routes {
    /// None yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// One more address.
    #[must_use]
    pub fn route(mut self, path: &'static str, methods: MethodRouter<App>) -> Self {
        self.paths.push(path);
        self.router = self.router.route(path, methods);
        self
    }

    /// A router that was made elsewhere, with the addresses it answers.
    #[must_use]
    pub fn with(mut self, paths: &[&'static str], router: Router<App>) -> Self {
        self.paths.extend(paths);
        self.router = self.router.merge(router);
        self
    }

    /// All addresses of another part.
    #[must_use]
    pub fn merge(self, other: Self) -> Self {
        self.with(&other.paths, other.router)
    }

    /// Every address, as written in the code.
    pub fn paths(&self) -> &[&'static str] {
        &self.paths
    }

    /// The router alone.
    pub fn into_router(self) -> Router<App> {
        self.router
    }
}
