//! A day of the program in one mode, compiled twice: for every processor, and for those with registers of four numbers.

use super::mode::{Board, Mode};
use super::outlook::Tap;

/// From the step `end` back to the step `begin`, then the shock of the midnight there.
pub(super) fn day(mode: &mut Mode, board: &Board, span: (usize, usize), shock: Option<&[Tap]>) {
    #[cfg(target_arch = "x86_64")]
    if std::arch::is_x86_feature_detected!("avx2") {
        #[allow(
            unsafe_code,
            reason = "a function for some processors only can be called in no other way"
        )]
        // SAFETY: the processor has just said that it has these registers.
        return unsafe { wide(mode, board, span, shock) };
    }
    narrow(mode, board, span, shock);
}

/// The same, digit for digit: no sum is taken in another order, and no product is fused with a sum.
#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2")]
fn wide(mode: &mut Mode, board: &Board, span: (usize, usize), shock: Option<&[Tap]>) {
    narrow(mode, board, span, shock);
}

#[inline(always)]
fn narrow(mode: &mut Mode, board: &Board, (begin, end): (usize, usize), shock: Option<&[Tap]>) {
    for k in (begin..end).rev() {
        mode.step(board, k);
    }
    if let Some(taps) = shock.filter(|taps| !taps.is_empty()) {
        mode.shock(board, begin, taps);
    }
}
