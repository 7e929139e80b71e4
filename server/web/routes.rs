//! A list of addresses that knows itself, so that the tests can try every one of them on every kind of caller.

use crate::app::App;
use axum::{Router, routing::MethodRouter};

/// A router of the program together with the addresses it answers. Slices build theirs with [`Self::route`] as they would
/// an `axum::Router`; who may open an address is said in `access::gate`.
#[derive(Default)]
pub struct Routes {
    router: Router<App>,
    bare: Router<App>,
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

    /// One more address that anyone may ask and that keeps nothing. It stands before the layers that all others share and
    /// does for itself what it needs of them: the layers cost more than a calculation does.
    #[must_use]
    pub fn bare(mut self, path: &'static str, methods: MethodRouter<App>) -> Self {
        self.paths.push(path);
        self.bare = self.bare.route(path, methods);
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
    pub fn merge(mut self, other: Self) -> Self {
        self.bare = self.bare.merge(other.bare);
        self.with(&other.paths, other.router)
    }

    /// Every address, as written in the code.
    pub fn paths(&self) -> &[&'static str] {
        &self.paths
    }

    /// The router for the shared layers, and the one that stands before them.
    pub fn into_routers(self) -> (Router<App>, Router<App>) {
        (self.router, self.bare)
    }
}
