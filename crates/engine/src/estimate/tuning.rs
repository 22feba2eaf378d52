//! Judgements of the estimate: when members are copied and nudged, what counts
//! as a surprise, for how long a word holds. All stand in `estimate.csv`.

use crate::table::{TableError, Tables};

macro_rules! tuning {
    ($($(#[$doc:meta])* $field:ident: $subject:literal, $property:literal;)*) => {
        /// The numbers.
        #[derive(Debug, Clone, Copy, PartialEq)]
        pub struct Tuning {
            $($(#[$doc])* pub $field: f64,)*
        }

        impl Tuning {
            /// From the table.
            ///
            /// # Errors
            /// [`TableError`] when a number is missing.
            pub fn load(tables: &Tables) -> Result<Self, TableError> {
                Ok(Self { $($field: tables.value("estimate", $subject, $property)?,)* })
            }
        }
    };
}

tuning! {
    /// Share of effective members under which they are drawn anew [0 to 1].
    copies_below: "copies", "made_below";
    /// The same under which what was heard is heard part by part [0 to 1].
    parts_below: "copies", "parts_below";
    /// Most rounds of moves at a time.
    most_rounds: "moves", "most_rounds";
    /// Fewest.
    least_rounds: "moves", "least_rounds";
    /// Rounds of moves at most after the last thing heard.
    last_rounds: "moves", "last_rounds";
    /// Members for each that is no copy, which end them.
    last_copies: "moves", "last_copies";
    /// Last days of a log that are late, in which other chances are tried more
    /// often [d].
    late_days: "moves", "late_days";
    /// Days that all members together are lived over in the moves of one time
    /// [d].
    most_days: "moves", "most_days";
    /// Days that all members together are lived over in one portion of them [d].
    portion_days: "moves", "portion_days";
    /// Moves go on until figures keep less of what they were [correlation].
    kept_below: "moves", "kept_below";
    /// Share of moves that is best taken [0 to 1].
    taken_wanted: "moves", "taken_wanted";
    /// Members from which it is sought what the log tells of.
    seek_from: "moves", "seek_from";
    /// Step to seek by [standard deviations].
    seek_step: "moves", "seek_step";
    /// It is sought again when the log has grown by this factor.
    seek_again: "moves", "seek_again";
    /// What the log must tell of a direction for it to lead [-].
    lead_from: "moves", "lead_from";
    /// What counts, scatter included, for one standard deviation of an amount in
    /// seeking [ln].
    mark_ln: "moves", "mark_ln";
    /// Standard normal number from which on something happened in a week that
    /// nobody wrote down.
    unlogged_from: "another_life", "from_normal";
    /// Standard deviations beyond which a pH reading is a surprise [-].
    ph_surprise: "surprise", "ph_standard_deviations";
    /// Standard deviations beyond which another reading is a surprise [-].
    surprise: "surprise", "standard_deviations";
    /// Chance below which what was said is a surprise [0 to 1].
    surprising_word: "surprise", "word_chance";
    /// Spread of pH in another life [pH].
    other_ph: "another_life", "ph";
    /// Worms under which all are thought dead in another life.
    thought_dead: "another_life", "thought_dead";
    /// How much wider sizes are tried than they are drawn in moves of what nobody
    /// wrote down [-].
    tried_wider: "moves", "tried_wider";
    /// How near what was read they are tried [standard deviations].
    tried_near: "moves", "tried_near";
    /// Spread of water in another life [ln].
    other_water: "another_life", "water_ln";
    /// Spread of worms in another life [ln].
    other_worms: "another_life", "worms_ln";
    /// Spread of warmth in another life [°C].
    other_room: "another_life", "room_celsius";
    /// Spread of food in another life [ln].
    other_food: "another_life", "food_ln";
    /// Most food that can still be told, of the last feeding [-].
    most_food: "another_life", "most_food";
    /// Days over which the room forgets where it wandered [d].
    room_forgets_days: "room", "forgets_days";
    /// Days over which a bed's pH forgets where it wandered [d].
    ph_forgets_days: "ph", "forgets_days";
    /// Sourest a possible bed is taken to be [pH].
    least_ph: "ph", "least";
    /// Most alkaline [pH].
    most_ph: "ph", "most";
    /// Days over which two readings of the air are joined [d].
    room_joined_days: "room", "joined_days";
    /// Days for which one reading of the air holds before and after [d].
    room_held_days: "room", "held_days";
    /// Days in which the weather of a reading of the air fades [d].
    room_fades_days: "room", "fades_days";
    /// Days in which the season of readings of the air fades [d].
    room_season_days: "room", "season_days";
    /// Readings that the usual day counts for beside them [-].
    room_usual_counts: "room", "usual_counts";
    /// Days for which an ammonia smell counts [d].
    smell_days: "smell", "ammonia_days";
    /// Degrees of freedom of the error of pH readings [-].
    tail_degrees: "error", "tail_degrees";
    /// The same of readings that were asked about and confirmed [-].
    confirmed_degrees: "error", "confirmed_degrees";
    /// Moisture under which bedding is dry under a probe [% of wet mass].
    dry_percent: "dry", "below_percent";
    /// Days for which a word about dryness holds [d].
    dry_days: "dry", "holds_days";
    /// Change of pH after a dose that is called real [pH].
    real_change_ph: "change", "real_ph";
    /// How far one feeding goes out of sight faster or slower than another [ln].
    seen_pace: "food", "seen_pace_ln";
    /// How far worms by post are off what was ordered [ln].
    order_off: "order", "off_ln";
    /// Share of worms left in what is harvested [0 to 1].
    worms_missed: "harvest", "worms_missed";
    /// Most of the contents that is taken at once [0 to 1].
    most_harvested: "harvest", "most_share";
    /// Scatter between jars beside that of the instrument [pH].
    jar_scatter: "jar", "scatter_ph";
    /// Error common to all jars once the instrument's bias is known [pH].
    jar_bias_left: "jar", "bias_left_ph";
    /// Share of worms lost that is called many [0 to 1].
    many_worms: "ahead", "many_worms";
    /// Days over which a habit is read [d].
    habit_days: "habit", "days";
    /// Feedings nearer to each other than this are one [d].
    one_feeding_days: "habit", "one_feeding_days";
    /// Interval taken when there was one feeding only [d].
    usual_interval_days: "habit", "usual_interval_days";
}
