//! What a library makes of foreign bytes, kept from ending the program where it panics.

use std::panic::{AssertUnwindSafe, PanicHookInfo, catch_unwind, set_hook, take_hook};
use std::sync::{Mutex, MutexGuard};

type Hook = Box<dyn Fn(&PanicHookInfo<'_>) + Sync + Send + 'static>;

/// The hook for panics is one for the whole program: the first that comes takes it away, the last that goes puts it back.
static HOOK: Mutex<(usize, Option<Hook>)> = Mutex::new((0, None));

fn hook() -> MutexGuard<'static, (usize, Option<Hook>)> {
    HOOK.lock().unwrap_or_else(|poisoned| poisoned.into_inner())
}

/// What `work` gives; nothing where it panics, and then nothing is said of it. It may only look at what it is given: what it
/// was changing would be half changed.
pub(crate) fn quietly<T>(work: impl FnOnce() -> T) -> Option<T> {
    let mut held = hook();
    if held.0 == 0 {
        held.1 = Some(take_hook());
        set_hook(Box::new(|_| {}));
    }
    held.0 += 1;
    drop(held);
    let done = catch_unwind(AssertUnwindSafe(work));
    let mut held = hook();
    held.0 -= 1;
    if held.0 == 0
        && let Some(usual) = held.1.take()
    {
        set_hook(usual);
    }
    done.ok()
}
