//! For how long a language is meant.

use crate::Language;
use std::cell::Cell;
use std::pin::Pin;
use std::task::{Context, Poll};

thread_local! {
    static CURRENT: Cell<Language> = const { Cell::new(Language::English) };
}

/// Puts the language before back, also when a panic ends the stretch.
struct Restore(Language);

impl Drop for Restore {
    fn drop(&mut self) {
        CURRENT.set(self.0);
    }
}

impl Language {
    /// The language that is meant here and now.
    #[must_use]
    pub fn current() -> Self {
        CURRENT.get()
    }

    /// Does `work` in this language.
    pub fn scope<T>(self, work: impl FnOnce() -> T) -> T {
        let _restore = Restore(CURRENT.replace(self));
        work()
    }

    /// A future whose every step is made in this language, in whatever thread.
    pub fn during<F: Future>(self, work: F) -> During<F> {
        During { language: self, work: Box::pin(work) }
    }
}

/// A future that speaks a language: see [`Language::during`].
#[derive(Debug)]
pub struct During<F> {
    language: Language,
    work: Pin<Box<F>>,
}

impl<F: Future> Future for During<F> {
    type Output = F::Output;

    fn poll(self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<F::Output> {
        let this = self.get_mut();
        this.language.scope(|| this.work.as_mut().poll(context))
    }
}

/// `work` in the language of here and now, wherever it is done.
pub fn carried<T>(work: impl FnOnce() -> T) -> impl FnOnce() -> T {
    let language = Language::current();
    move || language.scope(work)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::task::Waker;

    #[test]
    fn a_scope_ends_with_its_work() {
        Language::German.scope(|| {
            assert_eq!(Language::current(), Language::German);
            Language::English.scope(|| assert_eq!(Language::current(), Language::English));
            assert_eq!(Language::current(), Language::German);
        });
        assert_eq!(Language::current(), Language::English);
    }

    #[test]
    fn a_scope_ends_with_a_panic() {
        let fell = std::panic::catch_unwind(|| Language::German.scope(|| panic!("as meant")));
        assert!(fell.is_err());
        assert_eq!(Language::current(), Language::English);
    }

    #[test]
    fn another_thread_starts_in_english_unless_the_language_is_carried() {
        Language::German.scope(|| {
            assert_eq!(std::thread::spawn(Language::current).join().unwrap(), Language::English);
            assert_eq!(std::thread::spawn(carried(Language::current)).join().unwrap(), Language::German);
        });
    }

    #[test]
    fn every_step_of_a_future_speaks_its_language_and_nothing_between_does() {
        let mut steps = 0;
        let two_steps = std::future::poll_fn(|context| {
            assert_eq!(Language::current(), Language::German);
            steps += 1;
            context.waker().wake_by_ref();
            if steps == 2 { Poll::Ready(()) } else { Poll::Pending }
        });
        let mut future = Box::pin(Language::German.during(two_steps));
        let mut context = Context::from_waker(Waker::noop());
        assert_eq!(future.as_mut().poll(&mut context), Poll::Pending);
        assert_eq!(Language::current(), Language::English);
        assert_eq!(future.as_mut().poll(&mut context), Poll::Ready(()));
    }
}
