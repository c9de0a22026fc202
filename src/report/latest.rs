//! A list of bounded length that knows how many there were.

use std::collections::VecDeque;

/// The latest of many.
#[derive(Clone, Debug)]
pub(super) struct Latest<T> {
    items: VecDeque<T>,
    most: usize,
    count: u64,
}

impl<T> Latest<T> {
    /// Empty; it keeps at most `most`.
    pub(super) const fn of(most: usize) -> Self {
        Self {
            items: VecDeque::new(),
            most,
            count: 0,
        }
    }

    pub(super) fn push(&mut self, item: T) {
        self.count += 1;
        self.items.push_back(item);
        if self.items.len() > self.most {
            self.items.pop_front();
        }
    }

    pub(super) fn clear(&mut self) {
        *self = Self::of(self.most);
    }

    pub(super) fn iter_mut(&mut self) -> impl DoubleEndedIterator<Item = &mut T> {
        self.items.iter_mut()
    }

    /// How many there were.
    pub(super) const fn count(&self) -> u64 {
        self.count
    }

    /// Those that are kept, oldest first.
    pub(super) fn finish(self) -> Vec<T> {
        self.items.into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_latest_are_kept_and_all_are_counted() {
        let mut latest = Latest::of(3);
        (1..=5).for_each(|number| latest.push(number));
        assert_eq!((latest.count(), latest.finish()), (5, vec![3, 4, 5]));
    }
}
