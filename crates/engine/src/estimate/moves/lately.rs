//! What of a log is late: the last weeks, in which other chances are tried more
//! often than long ago, for what was heard last tells most of them, and a bin need
//! be lived over from where they begin only. It is the same to the bit.

use super::Now;
use crate::bed::draw::Block;
use crate::estimate::ensemble::{Ensemble, Possible};
use crate::estimate::script::Script;
use std::collections::BTreeSet;

/// Days of a week.
const WEEK: f64 = 7.0;

/// Where the last weeks of a log begin.
pub(super) struct Lately {
    /// Events that are over before.
    pub(super) stop: usize,
    /// First whole week after them, counted from filling.
    week: u32,
    /// Entries after them.
    entries: BTreeSet<i64>,
}

impl Lately {
    /// Of the first events of a log; `None` where most of it is late.
    pub(super) fn of(script: &Script, now: Now) -> Option<Self> {
        let late = script.scene.tuning.late_days;
        let day = |events: usize| script.scene.day(script.time_after(events));
        let from = day(now.events) - late;
        if from < late {
            return None;
        }
        let stop = (0..now.events).take_while(|k| day(k + 1) <= from).count();
        let id = |k: usize| script.events[k].id.0;
        let before: BTreeSet<i64> = (0..stop).map(id).collect();
        let after: BTreeSet<i64> = (stop..now.events).map(id).collect();
        Some(Self {
            stop,
            week: (day(stop) / WEEK).ceil() as u32,
            entries: &after - &before,
        })
    }

    /// Of a log that ends with such weeks.
    #[cfg(test)]
    pub(super) fn from_week(week: u32) -> Self {
        Self {
            stop: 0,
            week,
            entries: BTreeSet::new(),
        }
    }

    /// Whether the numbers of a block act in it only.
    pub(super) fn holds(&self, block: Block) -> bool {
        match block {
            Block::Week(week) | Block::Unlogged(week) => week >= self.week,
            Block::Entry(id) => self.entries.contains(&id),
            _ => false,
        }
    }

    /// Has each of these members at hand as it stood when it began.
    pub(super) fn stand(&self, e: &mut Ensemble, script: &Script, places: &[usize]) {
        let is_there = |m: &Possible| m.stood.as_ref().is_some_and(|s| s.events == self.stop);
        let gone = places.iter().copied();
        let gone: Vec<usize> = gone.filter(|i| !is_there(&e.members[*i])).collect();
        let members = &e.members;
        let stand = |i: usize| {
            let m = &members[gone[i]];
            match &m.stood {
                Some(s) if s.events < self.stop => script.live_from(s, m.tape.clone(), self.stop),
                _ => script.live(m.tape.clone(), self.stop),
            }
        };
        let stood = e.hands().make(gone.len(), &stand);
        for (place, bin) in gone.into_iter().zip(stood) {
            e.members[place].stood = Some(Script::stood(&bin, self.stop));
        }
    }

    /// A bin of these chances after so many events; `from` one whose chances differ
    /// late only.
    pub(super) fn live(
        &self,
        script: &Script,
        other: super::propose::Other,
        from: &Possible,
        events: usize,
    ) -> Possible {
        match &from.stood {
            Some(stood) if other.late && stood.events == self.stop => {
                script.live_from(stood, other.tape, events)
            }
            _ => script.live_past(other.tape, self.stop, events),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bed::draw::Tape;
    use crate::bed::fill::Own;
    use crate::estimate::filter::{Along, Read, Setup};
    use crate::estimate::timeline::Told;
    use crate::quantity::Celsius;
    use crate::table::Tables;
    use crate::validation::other_laws;

    const WEEKS: u32 = 26;

    /// The log of a keeper of another world.
    fn script() -> Script {
        let tables = Tables::load().unwrap();
        let written = other_laws::live(&tables, 1, other_laws::SEED, &[WEEKS]).unwrap();
        let (own, told) = (Own::new(), Told::new());
        let setup = Setup {
            tables: &tables,
            own: &own,
            temperature: Celsius(written.celsius),
            now: i64::from(WEEKS) * 7 * 86_400,
            seed: 1,
            members: 1,
            bin: Some(&written.bin),
            air: Some(written.air()),
        };
        Read::of(&setup, &written.log, &Along::told(&told))
            .unwrap()
            .script
    }

    fn written(m: &Possible) -> String {
        let bare = Possible {
            tape: Tape::new(0, 0),
            stood: None,
            ..m.clone()
        };
        format!("{bare:?}")
    }

    #[test]
    fn what_differs_late_is_lived_from_there_to_the_bit() {
        let script = script();
        let events = script.events.len();
        let now = Now {
            events,
            heard: 0,
            surprising: false,
        };
        let late = Lately::of(&script, now).unwrap();
        assert!(late.stop > 0 && late.stop < events && !late.entries.is_empty());
        let was = script.live_past(Tape::new(1, 3), late.stop, events);
        assert_eq!(
            written(&was),
            written(&script.live(Tape::new(1, 3), events))
        );
        let mut tape = was.tape.clone();
        let mut changed = 0;
        for (block, numbers) in tape.blocks_mut().filter(|(block, _)| late.holds(*block)) {
            let from = usize::from(matches!(block, Block::Unlogged(_)));
            numbers[from..].iter_mut().for_each(|n| *n = 0.3 - *n);
            changed += 1;
        }
        assert!(changed > 15, "{changed}");
        let whole = script.live(tape.clone(), events);
        let other = crate::estimate::moves::propose::Other {
            tape,
            ratio: 0.0,
            late: true,
        };
        let from = late.live(&script, other, &was, events);
        assert_eq!(written(&from), written(&whole));
        assert_ne!(written(&from), written(&was));
    }

    #[test]
    fn a_short_log_is_late_all_through() {
        let now = Now {
            events: 12,
            heard: 0,
            surprising: false,
        };
        assert!(Lately::of(&script(), now).is_none());
    }
}
