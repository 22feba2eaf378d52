//! What was done, done to one possible bin.

use super::Script;
use crate::bed::draw::{Block, Chance};
use crate::bed::product::Action;
use crate::estimate::ensemble::Possible;
use crate::estimate::live::{self, Living};
use crate::estimate::timeline::{Dosed, Event, Timed};

impl Script {
    /// Does what was done; what was seen changes nothing. Amounts are drawn from
    /// the block of the entry.
    pub(super) fn act(&self, m: &mut Possible, timed: &Timed) {
        let scene = &self.scene;
        let block = Block::Entry(timed.id.0);
        match &timed.event {
            Event::Added(parts) => m.by_chance(block, |m, g| {
                live::add_bedding(m, g, parts, &self.conditions, scene);
            }),
            Event::Dosed(dosed) => m.by_chance(block, |m, g| self.dose(m, g, dosed)),
            Event::Turned => {
                m.bed.turn();
                m.life.fluff(&scene.priors);
            }
            Event::Living(living) => {
                if let (Living::Stocked { .. }, Some(staged)) = (living, self.staged.get(&timed.id))
                {
                    live::stock_staged(m, staged, scene);
                    return;
                }
                m.by_chance(block, |m, g| self.do_to(m, g, living));
            }
            Event::Filled(_) | Event::Smelt(_) | Event::Heard(_) | Event::Jars(_) => {}
        }
    }

    fn do_to(&self, m: &mut Possible, g: &mut dyn Chance, living: &Living) {
        let scene = &self.scene;
        match living {
            Living::Fed(parts) => live::feed(m, g, parts, scene),
            Living::Watered(kg) => live::water(m, g, kg, scene),
            Living::Drained(kg) => {
                let kg = kg.draw(g).max(0.0);
                m.take_off(scene, kg);
            }
            Living::Stocked { grams, count } => live::stock(m, g, *grams, *count, scene),
            Living::Harvested(kg) => live::harvest(m, g, kg, scene),
            Living::Seen(_)
            | Living::Counted(_)
            | Living::Gauged(_)
            | Living::Stood(_)
            | Living::Weighed(_)
            | Living::Tray(_) => {}
        }
    }

    /// Gives a dose, and keeps what base it brought.
    fn dose(&self, m: &mut Possible, g: &mut dyn Chance, dosed: &Dosed) {
        let scene = &self.scene;
        m.before_dose = Some(m.bed.ph());
        if let Some(parts) = &dosed.parts {
            let ph = m.bed.ph();
            let base = m.bed.base_to_reach(ph);
            live::add_bedding(m, g, parts, &self.conditions, scene);
            // An acid that passes brings no base that lasts.
            let lasts = dosed.product.action != Action::Passing;
            let given = 1000.0 * (base - m.bed.base_to_reach(ph));
            m.given_meq = if lasts { given } else { 0.0 };
            return;
        }
        let lot = dosed.product.draw(g);
        let grams = dosed.grams.draw_log(g);
        let contact = dosed.contact.draw(g);
        m.given_meq = 1000.0 * lot.base(grams, &contact);
        lot.give(&mut m.bed, grams, &contact);
        let salt = lot.salt(grams, &contact);
        live::add_mineral(m, grams / 1000.0, salt, scene);
        live::warm(m, lot.slaking_kj(grams, &contact));
    }
}
