//! How often one address may knock: at the sign-in page and at the intake of reports.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::time::Duration;

use axum::Router;
use axum::extract::ConnectInfo;
use axum::http::{Method, Request};
use tower_governor::governor::GovernorConfigBuilder;
use tower_governor::key_extractor::KeyExtractor;
use tower_governor::{GovernorError, GovernorLayer};

use crate::state::AppState;

/// How many tries an address has, and how soon it gets one back.
#[derive(Clone, Copy)]
pub struct Pace {
    burst: u32,
    one_back_after: Duration,
}

/// Sign-in: ten tries, then one every six seconds.
pub const SIGN_IN: Pace = Pace { burst: 10, one_back_after: Duration::from_secs(6) };

/// Reports: a whole unit behind one address may empty its pockets after a long day out.
pub const INTAKE: Pace = Pace { burst: 60, one_back_after: Duration::from_secs(2) };

/// Puts a pace on what is sent (not on what is read) to the routes given.
pub fn paced(routes: Router<AppState>, pace: Pace, state: &AppState) -> Router<AppState> {
    let config = GovernorConfigBuilder::default()
        .key_extractor(ReaderAddress { behind_proxy: state.config().server.behind_proxy })
        .period(pace.one_back_after)
        .burst_size(pace.burst)
        .methods(vec![Method::POST])
        .finish()
        .expect("both parts of a pace are above nought");
    let config = std::sync::Arc::new(config);
    let limiter = config.limiter().clone();
    tokio::spawn(async move {
        let mut minute = tokio::time::interval(Duration::from_mins(1));
        loop {
            minute.tick().await;
            limiter.retain_recent();
        }
    });
    routes.layer(GovernorLayer::new(config))
}

/// The reader's address: the peer's, or what the proxy in front wrote last.
#[derive(Clone, Copy)]
struct ReaderAddress {
    behind_proxy: bool,
}

impl KeyExtractor for ReaderAddress {
    type Key = IpAddr;

    fn extract<T>(&self, request: &Request<T>) -> Result<IpAddr, GovernorError> {
        let told = || {
            let entries = request.headers().get_all("x-forwarded-for").iter().next_back()?;
            entries.to_str().ok()?.rsplit(',').next()?.trim().parse().ok()
        };
        let peer = || request.extensions().get::<ConnectInfo<SocketAddr>>().map(|info| info.0.ip());
        let address = if self.behind_proxy { told().or_else(peer) } else { peer() };
        // Only a request that came over no socket has no peer.
        Ok(address.map_or(IpAddr::V4(Ipv4Addr::LOCALHOST), whole_network))
    }
}

/// One household of IPv6 has more addresses than there are tries in a lifetime: count its network as one.
fn whole_network(address: IpAddr) -> IpAddr {
    match address {
        IpAddr::V6(six) => {
            let [a, b, c, d, ..] = six.segments();
            six.to_ipv4_mapped().map_or_else(|| [a, b, c, d, 0, 0, 0, 0].into(), IpAddr::V4)
        }
        four @ IpAddr::V4(_) => four,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(behind_proxy: bool, forwarded: &str) -> String {
        let mut request = Request::new(());
        request.headers_mut().insert("x-forwarded-for", forwarded.parse().unwrap());
        request.extensions_mut().insert(ConnectInfo(SocketAddr::from(([192, 0, 2, 7], 5000))));
        ReaderAddress { behind_proxy }.extract(&request).unwrap().to_string()
    }

    #[test]
    fn a_forwarded_address_counts_only_behind_a_proxy_and_only_the_last() {
        assert_eq!(key(false, "203.0.113.9"), "192.0.2.7");
        assert_eq!(key(true, "198.51.100.1, 203.0.113.9"), "203.0.113.9");
        assert_eq!(key(true, "nonsense"), "192.0.2.7");
    }

    #[test]
    fn a_network_of_ipv6_counts_as_one() {
        assert_eq!(key(true, "2001:db8:1:2:3:4:5:6"), "2001:db8:1:2::");
    }
}
