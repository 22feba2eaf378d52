//! Which of what was kept serves a script.

use super::{Lived, Standing};
use crate::estimate::along::Along;
use crate::estimate::ensemble::{Ensemble, even};
use crate::estimate::hands::ONE_PAIR;
use crate::estimate::script::Script;

impl Standing {
    /// Whether it is of the beginning of a script.
    fn begins(&self, script: &Script, (seed, members): (u64, usize)) -> bool {
        let s = &self.settled;
        let count = s.tapes.len();
        // Of what is being moved none can be left out.
        let enough = count == members || (script.quick && count > members && s.is_done());
        enough && s.digest == script.digest(seed, s.events)
    }

    /// The same with few of its members, drawn evenly by weight.
    fn few(self, count: usize) -> Self {
        let Self {
            mut settled, lived, ..
        } = self;
        let every = Ensemble::of(Vec::new(), settled.weights, &ONE_PAIR);
        let chosen = every.evenly(count, 0.5);
        settled.weights = even(count);
        settled.tapes = chosen.iter().map(|i| settled.tapes[*i].clone()).collect();
        for (place, tape) in settled.tapes.iter_mut().enumerate() {
            tape.move_to(place);
        }
        let lived = lived.map(|l| Lived {
            members: chosen.iter().map(|i| l.members[*i].clone()).collect(),
            ways: l.ways.map(|ways| ways.few(&chosen)),
        });
        Self {
            settled,
            lived,
            before: None,
        }
    }

    /// What of it serves a script: where more is heard in that, or a first answer
    /// is wanted, it as it stood before its last moves; itself where no member is to be
    /// moved.
    fn serving(self, script: &Script, unmoved: bool) -> Option<Self> {
        if unmoved {
            return self.is_whole().then_some(self);
        }
        match self.before {
            Some((events, before)) if script.quick || events < script.last_heard() => {
                before.map(|b| *b)
            }
            before => Some(Self { before, ..self }),
        }
    }

    /// Whether it lacks how it stood before its last moves, and is to be gone on
    /// with.
    fn lacks(&self, script: &Script) -> bool {
        matches!(self.before, Some((_, None))) && self.settled.events < script.events.len()
    }

    /// Takes it, where that is it.
    fn take_before(&mut self, found: &mut Option<Self>, script: &Script, of: (u64, usize)) -> bool {
        let Some((events, before)) = &mut self.before else {
            return false;
        };
        let is_it = |b: &mut Self| {
            let s = &b.settled;
            b.before.is_none() && s.is_done() && s.events == *events && b.begins(script, of)
        };
        *before = found.take_if(is_it).map(Box::new);
        before.is_some()
    }
}

/// The first of what was kept that is of the beginning of a script.
pub(super) fn kept(script: &Script, of: (u64, usize), along: &mut Along<'_>) -> Option<Standing> {
    let unmoved = along.unmoved;
    let kept = along.kept.as_mut()?;
    let mut next = None;
    while let Some(standing) = next.take().or_else(|| kept.next()) {
        let Some(mut standing) = standing.serving(script, unmoved) else {
            continue;
        };
        // What holds later events tells nothing of the moment asked about, and a
        // first answer does not wait for what is being moved.
        if script.quick && !standing.settled.is_done() {
            continue;
        }
        if standing.settled.events > script.events.len() {
            continue;
        }
        if !standing.begins(script, of) {
            along.stale.push(standing.settled.digest());
            continue;
        }
        if !unmoved && standing.lacks(script) {
            next = kept.next();
            if !standing.take_before(&mut next, script, of) {
                continue;
            }
        }
        let more = standing.settled.tapes.len() > of.1;
        return Some(if more { standing.few(of.1) } else { standing });
    }
    None
}
