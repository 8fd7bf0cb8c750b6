//! What a library makes of foreign bytes, kept from ending the program where it panics.

use std::panic::{AssertUnwindSafe, catch_unwind, set_hook, take_hook};
use std::sync::Mutex;

/// The hook for panics is one for the whole program: one at a time changes it.
static HOOK: Mutex<()> = Mutex::new(());

/// What `work` gives; nothing where it panics, and then nothing is said of it. It may only look at what it is given: what it
/// was changing would be half changed.
pub(crate) fn quietly<T>(work: impl FnOnce() -> T) -> Option<T> {
    let _alone = HOOK.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
    let usual = take_hook();
    set_hook(Box::new(|_| {}));
    let done = catch_unwind(AssertUnwindSafe(work));
    set_hook(usual);
    done.ok()
}
