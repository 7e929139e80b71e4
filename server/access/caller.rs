//! Where a request comes from.

use crate::app::App;
use axum::{
    extract::{ConnectInfo, FromRequestParts},
    http::{HeaderMap, request::Parts},
};
use std::{
    convert::Infallible,
    net::{IpAddr, Ipv6Addr, SocketAddr},
};

/// The other end of a request.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Caller {
    /// Its address, of IPv6 the network that one household has; empty when unknown.
    pub address: String,
    /// Whether it came over https.
    pub is_secure: bool,
}

impl FromRequestParts<App> for Caller {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Infallible> {
        let peer = parts
            .extensions
            .get::<ConnectInfo<SocketAddr>>()
            .map(|peer| peer.0.ip());
        Ok(Self::new(peer, &parts.headers, app.behind_proxy))
    }
}

impl Caller {
    /// Anybody can write the forwarded headers, so they count only behind a proxy, which sets them.
    fn new(peer: Option<IpAddr>, headers: &HeaderMap, behind_proxy: bool) -> Self {
        let forwarded = |name| last_word(headers, name).filter(|_| behind_proxy);
        let ip = forwarded("x-forwarded-for").and_then(|ip| ip.parse().ok());
        Self {
            address: ip.or(peer).map(network).unwrap_or_default(),
            is_secure: forwarded("x-forwarded-proto").is_some_and(|p| p == "https"),
        }
    }
}

/// The last word of the last line is the nearest proxy's own; what stands before it came from outside.
fn last_word<'h>(headers: &'h HeaderMap, name: &str) -> Option<&'h str> {
    let line = headers.get_all(name).iter().next_back()?.to_str().ok()?;
    line.rsplit(',').next().map(str::trim)
}

fn network(ip: IpAddr) -> String {
    match ip.to_canonical() {
        IpAddr::V4(ip) => ip.to_string(),
        IpAddr::V6(ip) => {
            let [a, b, c, d, ..] = ip.segments();
            format!("{}/64", Ipv6Addr::new(a, b, c, d, 0, 0, 0, 0))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers() -> HeaderMap {
        let mut headers = HeaderMap::new();
        headers.append(
            "x-forwarded-for",
            "198.51.100.9, 203.0.113.7".parse().unwrap(),
        );
        headers.append("x-forwarded-proto", "https".parse().unwrap());
        headers
    }

    #[test]
    fn forwarded_headers_count_only_behind_a_proxy() {
        let peer = Some("192.0.2.1".parse().unwrap());
        let open = Caller::new(peer, &headers(), false);
        assert_eq!(
            (open.address.as_str(), open.is_secure),
            ("192.0.2.1", false)
        );
        let behind = Caller::new(peer, &headers(), true);
        assert_eq!(
            (behind.address.as_str(), behind.is_secure),
            ("203.0.113.7", true)
        );
    }

    #[test]
    fn one_household_is_one_address() {
        let of =
            |ip: &str| Caller::new(Some(ip.parse().unwrap()), &HeaderMap::new(), false).address;
        assert_eq!(of("2001:db8:1:2:3:4:5:6"), of("2001:db8:1:2::9"));
        assert_ne!(of("2001:db8:1:2::9"), of("2001:db8:1:3::9"));
        assert_eq!(of("::ffff:192.0.2.1"), "192.0.2.1");
    }
}
