//! How often an address may ask: a bucket of tokens for each, filled at a steady rate.

use std::collections::HashMap;
use std::net::{IpAddr, Ipv6Addr};
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// A limit for each address.
#[derive(Debug)]
pub(crate) struct Limit {
    /// Tokens of a full bucket.
    burst: f64,
    per_second: f64,
    buckets: Mutex<HashMap<IpAddr, Bucket>>,
}

#[derive(Debug, Clone, Copy)]
struct Bucket {
    tokens: f64,
    seen: Instant,
}

/// Addresses remembered. A local network has fewer; a flood of made-up ones takes no more memory than this.
const ADDRESSES_MAX: usize = 4096;

impl Limit {
    /// `burst` requests at once, then `per_second`.
    pub(crate) fn new(burst: u32, per_second: f64) -> Self {
        Self { burst: f64::from(burst), per_second, buckets: Mutex::default() }
    }

    /// Takes a token of an address.
    ///
    /// # Errors
    /// How long to wait until there is one.
    pub(crate) fn take(&self, from: IpAddr, now: Instant) -> Result<(), Duration> {
        let mut buckets = self.buckets.lock().unwrap_or_else(PoisonError::into_inner);
        let from = whole(from);
        if buckets.len() >= ADDRESSES_MAX && !buckets.contains_key(&from) {
            self.forget(&mut buckets, now);
        }
        let bucket = buckets.entry(from).or_insert(Bucket { tokens: self.burst, seen: now });
        bucket.tokens = self.filled(bucket, now);
        bucket.seen = now;
        if bucket.tokens < 1.0 {
            return Err(Duration::from_secs_f64((1.0 - bucket.tokens) / self.per_second));
        }
        bucket.tokens -= 1.0;
        Ok(())
    }

    fn filled(&self, bucket: &Bucket, now: Instant) -> f64 {
        let gone = now.saturating_duration_since(bucket.seen).as_secs_f64();
        (bucket.tokens + gone * self.per_second).min(self.burst)
    }

    /// Full buckets say nothing that a new one would not; if there are none, the emptier half stays.
    fn forget(&self, buckets: &mut HashMap<IpAddr, Bucket>, now: Instant) {
        buckets.retain(|_, bucket| self.filled(bucket, now) < self.burst);
        if buckets.len() >= ADDRESSES_MAX {
            let mut fill: Vec<f64> = buckets.values().map(|bucket| self.filled(bucket, now)).collect();
            let (_, middle, _) = fill.select_nth_unstable_by(ADDRESSES_MAX / 2, f64::total_cmp);
            let middle = *middle;
            buckets.retain(|_, bucket| self.filled(bucket, now) < middle);
        }
    }
}

/// One host of IPv6 has a whole /64 of addresses.
fn whole(address: IpAddr) -> IpAddr {
    match address.to_canonical() {
        IpAddr::V6(v6) => IpAddr::V6(Ipv6Addr::from_bits(v6.to_bits() & !u128::from(u64::MAX))),
        v4 @ IpAddr::V4(_) => v4,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ONE: IpAddr = IpAddr::V4(std::net::Ipv4Addr::new(192, 168, 1, 20));
    const OTHER: IpAddr = IpAddr::V4(std::net::Ipv4Addr::new(192, 168, 1, 21));

    #[test]
    fn a_burst_passes_then_the_rate_and_another_address_has_its_own() {
        let (limit, now) = (Limit::new(3, 0.5), Instant::now());
        (0..3).for_each(|_| limit.take(ONE, now).unwrap());
        let wait = limit.take(ONE, now).unwrap_err();
        assert_eq!(wait, Duration::from_secs(2));
        limit.take(OTHER, now).unwrap();
        assert!(limit.take(ONE, now + Duration::from_millis(1900)).is_err());
        limit.take(ONE, now + wait).unwrap();
        // However long one waits, no more than the burst is saved up.
        let later = now + Duration::from_secs(3600);
        assert_eq!((0..9).filter(|_| limit.take(ONE, later).is_ok()).count(), 3);
    }

    #[test]
    fn a_host_of_the_newer_kind_cannot_change_its_address_to_get_around_it() {
        let (limit, now) = (Limit::new(1, 0.1), Instant::now());
        limit.take("fd00::1:2".parse().unwrap(), now).unwrap();
        assert!(limit.take("fd00::9:9:9".parse().unwrap(), now).is_err());
        limit.take("fd00:0:0:1::1".parse().unwrap(), now).unwrap();
        limit.take("::ffff:192.168.1.20".parse().unwrap(), now).unwrap();
        assert!(limit.take(ONE, now).is_err(), "the same host, written otherwise");
    }

    #[test]
    fn a_flood_of_addresses_is_forgotten_but_not_who_asked_too_often() {
        let (limit, now) = (Limit::new(2, 0.01), Instant::now());
        (0..2).for_each(|_| limit.take(ONE, now).unwrap());
        for number in 0..20_000_u32 {
            limit.take(IpAddr::V4((0x0a00_0000 + number).into()), now).unwrap();
            assert!(limit.buckets.lock().unwrap().len() <= ADDRESSES_MAX);
        }
        assert!(limit.take(ONE, now).is_err());
    }
}
