//! Stretches of places by device, to be asked whether one covers another in a
//! time that does not grow with how many there are.

use std::collections::BTreeMap;

/// Of each device its stretches by their first place, each with the furthest
/// last place of it and of those that begin before it.
#[derive(Debug, Default)]
pub(crate) struct Spans(BTreeMap<String, Vec<(i64, i64)>>);

impl Spans {
    /// Of stretches given as device, first and last place.
    pub(crate) fn of<'a>(stretches: impl Iterator<Item = (&'a str, i64, i64)>) -> Self {
        let mut by_device: BTreeMap<String, Vec<(i64, i64)>> = BTreeMap::new();
        for (device, first, last) in stretches {
            match by_device.get_mut(device) {
                Some(of) => of.push((first, last)),
                None => drop(by_device.insert(device.to_owned(), vec![(first, last)])),
            }
        }
        for of in by_device.values_mut() {
            of.sort_unstable();
            let mut furthest = i64::MIN;
            for (_, last) in of.iter_mut() {
                furthest = furthest.max(*last);
                *last = furthest;
            }
        }
        Self(by_device)
    }

    /// Whether one of them covers all places from `first` to `last`.
    pub(crate) fn cover(&self, device: &str, first: i64, last: i64) -> bool {
        let Some(of) = self.0.get(device) else {
            return false;
        };
        let begun = of.partition_point(|(from, _)| *from <= first);
        begun
            .checked_sub(1)
            .and_then(|n| of.get(n))
            .is_some_and(|(_, furthest)| last <= *furthest)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_one_stretch_covers_is_covered() {
        let all = [("a", 5, 7), ("a", 1, 20), ("a", 30, 30), ("b", 1, 2)];
        let spans = Spans::of(all.into_iter());
        for first in 0..35 {
            for last in first..36 {
                let by_one = |device: &str| {
                    all.iter()
                        .any(|(d, f, l)| *d == device && *f <= first && last <= *l)
                };
                for device in ["a", "b", "c"] {
                    let want = by_one(device);
                    assert_eq!(spans.cover(device, first, last), want, "{device} {first}");
                }
            }
        }
    }
}
