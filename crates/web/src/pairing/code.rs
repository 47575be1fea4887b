//! The code by which a device is paired: six digits, once, for five minutes.

use super::Role;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};
use subtle::ConstantTimeEq as _;

/// How long a code is good.
pub(crate) const LASTS: Duration = Duration::from_secs(5 * 60);

/// Wrong codes, from all addresses together, after which a code is good no more: at most five in a million guesses win.
const WRONG_MAX: u32 = 5;

/// The code that is open now, if one is.
#[derive(Debug, Default)]
pub(crate) struct Codes(Mutex<Option<Open>>);

/// A code that is shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Open {
    pub digits: String,
    /// What the device that types it may do.
    pub role: Role,
    until: Instant,
    wrong: u32,
}

impl Open {
    /// How long it is still good.
    pub(crate) fn left(&self, now: Instant) -> Duration {
        self.until.saturating_duration_since(now)
    }
}

impl Codes {
    /// Opens a code; the one before is good no more.
    ///
    /// # Errors
    /// When the system has no random numbers.
    pub(crate) fn open(&self, role: Role, now: Instant) -> Result<(), getrandom::Error> {
        let open = Open { digits: digits()?, role, until: now + LASTS, wrong: 0 };
        *self.lock() = Some(open);
        Ok(())
    }

    /// The code that is open.
    pub(crate) fn current(&self, now: Instant) -> Option<Open> {
        let mut open = self.lock();
        open.take_if(|code| code.left(now).is_zero());
        open.clone()
    }

    /// Uses a code up: what the device may do, when it is the one that is open.
    pub(crate) fn redeem(&self, given: &str, now: Instant) -> Option<Role> {
        let given: String = given.chars().filter(|c| !c.is_whitespace() && *c != '-').collect();
        let mut open = self.lock();
        open.take_if(|code| code.left(now).is_zero());
        let code = open.as_mut()?;
        // As long for a near miss as for a far one.
        if bool::from(code.digits.as_bytes().ct_eq(given.as_bytes())) {
            return open.take().map(|code| code.role);
        }
        code.wrong += 1;
        open.take_if(|code| code.wrong >= WRONG_MAX);
        None
    }

    fn lock(&self) -> MutexGuard<'_, Option<Open>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Six digits, each as likely as any other.
fn digits() -> Result<String, getrandom::Error> {
    const CODES: u32 = 1_000_000;
    // The numbers above the last whole million would make some codes likelier.
    const FAIR: u32 = u32::MAX - u32::MAX % CODES;
    loop {
        let number = getrandom::u32()?;
        if number < FAIR {
            return Ok(format!("{:06}", number % CODES));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn opened(role: Role, now: Instant) -> (Codes, String) {
        let codes = Codes::default();
        codes.open(role, now).unwrap();
        let digits = codes.current(now).unwrap().digits;
        (codes, digits)
    }

    fn wrong(code: &str) -> String {
        format!("{:06}", (code.parse::<u32>().unwrap() + 1) % 1_000_000)
    }

    #[test]
    fn a_code_is_six_digits_and_another_one_each_time() {
        let all: std::collections::HashSet<String> = (0..50).map(|_| digits().unwrap()).collect();
        assert!(all.iter().all(|code| code.len() == 6 && code.bytes().all(|byte| byte.is_ascii_digit())));
        assert!(all.len() > 45, "two of fifty are the same once in eight hundred runs");
    }

    #[test]
    fn a_code_lets_one_device_in_with_its_role_and_no_second() {
        let now = Instant::now();
        let (codes, code) = opened(Role::Helper, now);
        let spaced = format!(" {} {}", &code[..3], &code[3..]);
        assert_eq!(codes.redeem(&spaced, now), Some(Role::Helper));
        assert_eq!(codes.redeem(&code, now), None);
        assert_eq!(codes.current(now), None);
    }

    #[test]
    fn a_code_is_good_for_five_minutes() {
        let now = Instant::now();
        let (codes, code) = opened(Role::Owner, now);
        assert!(codes.current(now + LASTS - Duration::from_secs(1)).is_some());
        assert_eq!(codes.redeem(&code, now + LASTS), None);
        let (codes, code) = opened(Role::Owner, now);
        assert_eq!(codes.redeem(&code, now + LASTS - Duration::from_secs(1)), Some(Role::Owner));
    }

    #[test]
    fn after_five_wrong_codes_the_right_one_is_good_no_more() {
        let now = Instant::now();
        let (codes, code) = opened(Role::Helper, now);
        (0..4).for_each(|_| assert_eq!(codes.redeem(&wrong(&code), now), None));
        assert!(codes.current(now).is_some());
        assert_eq!(codes.redeem("", now), None);
        assert_eq!(codes.redeem(&code, now), None, "the fifth ended it");
    }

    #[test]
    fn a_new_code_ends_the_one_before() {
        let now = Instant::now();
        let (codes, first) = opened(Role::Owner, now);
        codes.open(Role::Helper, now).unwrap();
        let second = codes.current(now).unwrap().digits;
        assert!(first == second || codes.redeem(&first, now).is_none());
        assert_eq!(codes.redeem(&second, now), Some(Role::Helper));
    }
}
