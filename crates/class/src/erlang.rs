//! Waiting in closed form, for queues that have one: what the simulation is held against.

use quantity::{Quantity as _, Time};

/// Share of arrivals that wait at `servers` alike servers with Poisson arrivals and exponential service (M/M/c).
///
/// `C = (a^c / c!) (c / (c - a)) / (sum_{k<c} a^k / k! + (a^c / c!) (c / (c - a)))`, by the recursion of Erlang B:
/// `B_0 = 1`, `B_k = a B_(k-1) / (k + a B_(k-1))`, `C = B_c / (1 - (a / c) (1 - B_c))`.
///
/// * `offered`: arrival rate times mean service time, `a`; below `servers`, else everybody waits: 1.
///
/// Source: A. K. Erlang (1917), as in every text on queues; from memory.
/// Checked: a = 2, c = 3 is 4/9 by hand.
#[must_use]
pub fn waits(servers: u32, offered: f64) -> f64 {
    if offered >= f64::from(servers) {
        return 1.0;
    }
    let blocked = (1..=servers).fold(1.0, |b, k| offered * b / (f64::from(k) + offered * b));
    blocked / (1.0 - offered / f64::from(servers) * (1.0 - blocked))
}

/// Mean wait in M/M/c: `W = C s / (c - a)`, `s` the mean service time.
///
/// `None` when more comes than can be served: the queue then grows without end.
#[must_use]
pub fn mean_wait(servers: u32, between_arrivals: Time, service: Time) -> Option<Time> {
    let offered = service.to_seconds() / between_arrivals.to_seconds();
    let spare = f64::from(servers) - offered;
    (spare > 0.0).then(|| Time::clamped(waits(servers, offered) * service.to_seconds() / spare))
}

/// Mean wait at one server with Poisson arrivals and a service that always takes the same time (M/D/1):
/// `W = rho s / (2 (1 - rho))`, half of that with exponential service.
///
/// Source: Pollaczek (1930) and Khinchine (1932) for a variance of zero; from memory. `None` as in [`mean_wait`].
#[must_use]
pub fn mean_wait_at_fixed_service(between_arrivals: Time, service: Time) -> Option<Time> {
    let busy = service.to_seconds() / between_arrivals.to_seconds();
    (busy < 1.0).then(|| Time::clamped(busy * service.to_seconds() / (2.0 * (1.0 - busy))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn erlangs_formula_gives_the_values_worked_by_hand() {
        // c = 1: C = a. c = 2, a = 1: (1/2 * 2) / (1 + 1 + 1) = 1/3. c = 3, a = 2: (8/6 * 3) / (1 + 2 + 2 + 4) = 4/9.
        for (servers, offered, want) in [(1, 0.7, 0.7), (2, 1.0, 1.0 / 3.0), (3, 2.0, 4.0 / 9.0), (2, 2.5, 1.0)] {
            assert!((waits(servers, offered) - want).abs() < 1e-12, "{servers} {offered}");
        }
    }

    #[test]
    fn one_server_waits_as_rho_over_one_less_rho() {
        let time = |s| Time::seconds(s).unwrap();
        let wait = mean_wait(1, time(100.0), time(80.0)).unwrap().to_seconds();
        assert!((wait - 0.8 / 0.2 * 80.0).abs() < 1e-9);
        let fixed = mean_wait_at_fixed_service(time(100.0), time(80.0)).unwrap().to_seconds();
        assert!((fixed - 0.5 * wait).abs() < 1e-9);
        assert_eq!(mean_wait(1, time(80.0), time(80.0)), None);
    }
}
