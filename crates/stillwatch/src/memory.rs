//! How much memory the program keeps from the system while it serves pages.

/// Heaps that all threads share.
#[cfg(all(target_os = "linux", target_env = "gnu"))]
const HEAPS: i32 = 2;

/// Lets all threads share two heaps. Each of glibc's keeps what a page or a plan needed for a moment, and there would be
/// eight for every core: some 30 MB more aboard the demonstration ship. To be called before threads are begun; systems
/// with one heap need nothing.
pub fn share_heaps() {
    #[cfg(all(target_os = "linux", target_env = "gnu"))]
    #[allow(unsafe_code)]
    // SAFETY: `mallopt` takes two numbers and touches nothing of ours; glibc locks what it changes. Where it refuses, all
    // stays as it was.
    let _ = unsafe { libc::mallopt(libc::M_ARENA_MAX, HEAPS) };
}

/// Gives back to the system what a plan needed for a moment and freed: some tens of MB that glibc would keep.
pub fn give_back() {
    #[cfg(all(target_os = "linux", target_env = "gnu"))]
    #[allow(unsafe_code)]
    // SAFETY: `malloc_trim` takes a number, gives back pages that hold nothing of ours and locks what it changes.
    let _ = unsafe { libc::malloc_trim(0) };
}
