//! Reading on one thread while another takes what was read.

use std::panic::resume_unwind;
use std::sync::mpsc::sync_channel;
use std::thread;

/// Items handed over together.
const CHUNK: usize = 256;
/// Chunks the reader may be ahead by: a file is never held whole.
const CHUNKS_AHEAD: usize = 8;

/// Lets `then` take the items while a thread of its own reads on ahead of it. What is left of `items` comes back.
pub(super) fn ahead<I, T>(
    mut items: I,
    then: impl FnOnce(&mut dyn Iterator<Item = I::Item>) -> T,
) -> (T, I)
where
    I: Iterator + Send,
    I::Item: Send,
{
    thread::scope(|scope| {
        let (give, take) = sync_channel(CHUNKS_AHEAD);
        let reading = scope.spawn(move || {
            loop {
                let chunk: Vec<I::Item> = items.by_ref().take(CHUNK).collect();
                let last = chunk.len() < CHUNK;
                // Whoever takes no more has dropped the other end.
                if give.send(chunk).is_err() || last {
                    return items;
                }
            }
        });
        let done = then(&mut take.into_iter().flatten());
        match reading.join() {
            Ok(items) => (done, items),
            Err(panic) => resume_unwind(panic),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn everything_comes_in_order_and_what_was_not_read_is_left() {
        for count in [0_usize, 1, CHUNK, CHUNK + 1, 100 * CHUNK + 7] {
            let (taken, mut left) = ahead(0..count, |items| items.collect::<Vec<_>>());
            assert!(taken.into_iter().eq(0..count));
            assert_eq!(left.next(), None);
        }
        let (first, mut left) = ahead(0.., |items| items.next());
        assert_eq!(first, Some(0));
        assert!(left.next().is_some_and(|next: usize| next < (CHUNKS_AHEAD + 3) * CHUNK));
    }
}
