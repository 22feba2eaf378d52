//! The container and where it stands.

use crate::bed::product::Ranged;
use crate::living::comfort::Kindest;
use crate::living::species::Species;
use crate::log::{BinDescription, Lid, Walls};
use crate::table::{TableError, Tables};

/// A container, as heat, vapour and worms meet it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Home {
    /// Inner floor [m²].
    pub floor_m2: f64,
    /// Inner length plus width, twice [m].
    pub around_m: f64,
    /// Inner depth [m].
    pub depth_m: f64,
    /// Heat passing the walls [W/m²/K].
    pub wall_w_m2_k: Ranged,
    /// Resistance of the lid to vapour [s/m].
    pub lid_s_per_m: Ranged,
    /// Walls breathe: their resistance to vapour [s/m].
    pub wall_s_per_m: Option<f64>,
    /// Share of the air that passes the lid [0 to 1].
    pub lid_air: Ranged,
    /// How easily worms get out [0 to 1].
    pub escape: f64,
    /// A lid keeps walls and lid wet above the bedding [0 to 1].
    pub film: f64,
    /// Share of the air a warm free-standing heap draws in that finds a way in
    /// from below [0 to 1]: none through a closed base.
    pub inlet: f64,
    /// Liquid can drain out.
    pub drains: bool,
    /// How far the surface dries, against that of an open top [0 to 1].
    pub dry_top: f64,
    /// Heat that passes the floor, which stands on something, against an open
    /// surface [0 to 1].
    pub floor_share: f64,
    /// Warmth that the worms kept in it like best.
    pub kindest: Kindest,
}

impl Home {
    /// From what the keeper says of the bin and of its worms.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn of(tables: &Tables, bin: &BinDescription, species: Species) -> Result<Self, TableError> {
        let number = |subject, property| Ranged::of(tables, "living", subject, property);
        let wall = match bin.walls {
            Walls::Plastic => "plastic_w_m2_k",
            Walls::Wood => "wood_w_m2_k",
            Walls::Foam => "foam_w_m2_k",
            Walls::Metal => "metal_w_m2_k",
            Walls::Fabric => "fabric_w_m2_k",
            Walls::Masonry => "masonry_w_m2_k",
        };
        let (lid, air, kind) = match bin.lid {
            Lid::Open => ("lid_open_s_per_m", "vented", "open"),
            Lid::Cover => ("lid_cover_s_per_m", "vented", "cover"),
            Lid::Vented => ("lid_vented_s_per_m", "vented", "vented"),
            Lid::Tight => ("lid_tight_s_per_m", "tight", "tight"),
        };
        let breathes = bin.walls == Walls::Fabric;
        Ok(Self {
            floor_m2: bin.length_cm * bin.width_cm / 1e4,
            around_m: 2.0 * (bin.length_cm + bin.width_cm) / 100.0,
            depth_m: bin.depth_cm / 100.0,
            wall_w_m2_k: number("heat", wall)?,
            lid_s_per_m: number("water", lid)?,
            wall_s_per_m: breathes
                .then(|| tables.value("living", "water", "fabric_s_per_m"))
                .transpose()?,
            lid_air: number("air", air)?,
            escape: tables.value("living", "escape", kind)?,
            film: if bin.lid == Lid::Open { 0.0 } else { 1.0 },
            inlet: match (breathes, bin.drains) {
                (true, _) => 1.0,
                (_, true) => tables.value("living", "air", "drawn_through_holes")?,
                _ => 0.0,
            },
            drains: bin.drains || breathes,
            dry_top: tables.value("living", "dry_top", kind)?,
            floor_share: tables.value("living", "heat", "floor_share")?,
            kindest: Kindest::of(tables, species)?,
        })
    }

    /// Volume of the container [L].
    #[must_use]
    pub fn litres(&self) -> f64 {
        1000.0 * self.floor_m2 * self.depth_m
    }

    /// Surface heat passes through when filled to `litres` [m²]: walls as far
    /// as filled, the top whole, the floor in part.
    #[must_use]
    pub fn heat_m2(&self, litres: f64) -> f64 {
        self.around_m * self.height_m(litres) + (1.0 + self.floor_share) * self.floor_m2
    }

    /// Height of the filling [m].
    #[must_use]
    pub fn height_m(&self, litres: f64) -> f64 {
        litres / 1000.0 / self.floor_m2
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::living::water::{evaporation, saturated};

    /// Still air at 20 °C and half saturated, 1.17 kPa short: what goes off a
    /// square metre by lid, computed after Shah 1992 and for the draught of holes.
    #[test]
    fn lids_let_through_what_was_computed_for_them() {
        let tables = Tables::load().unwrap();
        let number = |p: &str| tables.value("living", "water", p).unwrap();
        let wet = saturated(20.0);
        for (lid, grams) in [
            ("lid_open_s_per_m", 1250.0),
            ("lid_cover_s_per_m", 350.0),
            ("lid_vented_s_per_m", 70.0),
            ("lid_tight_s_per_m", 10.0),
            ("fabric_s_per_m", 600.0),
        ] {
            let kg = evaporation(1.0, wet, 0.5 * wet, number("surface_m_per_s"), number(lid));
            let ours = 1000.0 * kg / 1.17;
            assert!((ours / grams - 1.0).abs() < 0.12, "{lid}: {ours}");
        }
    }
}
