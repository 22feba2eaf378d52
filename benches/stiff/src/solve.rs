//! The bin solved by `diffsol`'s BDF, started anew at every feeding, pour and coming
//! of worms.

use crate::compare::Course;
use crate::one::{Bin, DAYS, FED_EVERY, POURED, STOCKED};
use crate::rates;
use crate::state::{Layout, Part};
use diffsol::{FaerLU, FaerMat, OdeBuilder, OdeSolverMethod, OdeSolverStopReason, Vector};
use engine::bed::possible::PossibleBed;
use engine::living::life::Life;
use std::cell::{Cell, RefCell};
use std::error::Error;

/// Days after the worms came at which the wandering of the first ones ends.
const SETTLED: f64 = 30.0;

/// Dense matrices and how they are factored.
type Matrix = FaerMat<f64>;
type Factors = FaerLU<f64>;

/// What a run took.
#[derive(Debug, Clone, Copy, Default)]
pub struct Took {
    /// Evaluations of all rates, and how many of them for Jacobians.
    pub evaluations: u64,
    pub of_jacobians: u64,
    /// Steps, and matrices factored.
    pub steps: u64,
    pub factored: u64,
}

/// The bin the laws are asked of, and the last state they were asked of.
struct Asked<'a> {
    bin: &'a Bin,
    layout: &'a Layout,
    here: RefCell<(Life, PossibleBed)>,
    /// Time, state and rates at which columns of a Jacobian begin.
    base: RefCell<(f64, Vec<f64>, Vec<f64>)>,
    little: Vec<f64>,
    evaluations: Cell<u64>,
    of_jacobians: Cell<u64>,
}

impl<'a> Asked<'a> {
    fn new(bin: &'a Bin, layout: &'a Layout) -> Self {
        Self {
            bin,
            layout,
            here: RefCell::new((bin.life, bin.bed.clone())),
            base: RefCell::new((f64::NAN, Vec::new(), Vec::new())),
            little: layout.little(),
            evaluations: Cell::new(0),
            of_jacobians: Cell::new(0),
        }
    }

    fn rates(&self, t: f64, y: &[f64], d: &mut [f64]) {
        self.evaluations.set(self.evaluations.get() + 1);
        let (life, bed) = &mut *self.here.borrow_mut();
        rates::change((self.bin, self.layout), (life, bed), (t, y, d));
    }

    /// The Jacobian times `v`, by a forward difference.
    fn toward(&self, t: f64, y: &[f64], v: &[f64], d: &mut [f64]) {
        let before = self.evaluations.get();
        let base = &mut *self.base.borrow_mut();
        if base.0 != t || base.1 != y {
            base.0 = t;
            base.1.clear();
            base.1.extend_from_slice(y);
            base.2.resize(y.len(), 0.0);
            self.rates(t, y, &mut base.2);
        }
        let far =
            |(i, v): (usize, &f64)| (v != &0.0).then(|| y[i].abs().max(self.little[i]) / v.abs());
        let least = v
            .iter()
            .enumerate()
            .filter_map(far)
            .fold(f64::INFINITY, f64::min);
        if least.is_finite() {
            let step = f64::EPSILON.sqrt() * least;
            let moved: Vec<f64> = y.iter().zip(v).map(|(y, v)| y + step * v).collect();
            self.rates(t, &moved, d);
            d.iter_mut()
                .zip(&base.2)
                .for_each(|(d, base)| *d = (*d - base) / step);
        } else {
            d.fill(0.0);
        }
        self.of_jacobians
            .set(self.of_jacobians.get() + self.evaluations.get() - before);
    }

    /// What is put in on the morning of a day.
    fn happen(&self, day: u32, y: &mut [f64]) {
        let (life, bed) = &mut *self.here.borrow_mut();
        self.layout.fill_whole(y, self.bin, (life, bed));
        self.bin.happen(day, life, bed);
        self.layout.read(y, self.bin, (life, bed), day == STOCKED);
    }
}

/// The state of the bin as filled.
fn start(bin: &Bin, layout: &Layout) -> Vec<f64> {
    let mut y = vec![0.0; layout.len()];
    layout.read(&mut y, bin, (&bin.life, &bin.bed), false);
    y[layout.at(Part::ChalkUm)] = bin.bed.chalk.grain_um;
    y
}

/// Days on which it is started anew: inputs, and where the laws bend by the clock.
fn breaks(bin: &Bin) -> Vec<f64> {
    let came = f64::from(STOCKED);
    let mut all: Vec<f64> = (0..DAYS)
        .step_by(FED_EVERY as usize)
        .map(f64::from)
        .collect();
    let bends = [came, came + bin.vital.lag_days, came + SETTLED];
    all.extend(bends);
    all.extend([f64::from(POURED.0), f64::from(DAYS)]);
    all.sort_by(f64::total_cmp);
    all.dedup();
    all
}

/// Times within a span at which the state is looked at: whole days, and so many more a
/// day, in the middles of equal parts.
fn looks(begin: f64, end: f64, a_day: u32) -> Vec<(f64, bool)> {
    let parts = f64::from(a_day.max(1));
    let first = (begin * parts) as u64;
    let last = (end * parts).ceil() as u64;
    let middles = (first..last).map(|i| ((i as f64 + 0.5) / parts, false));
    let mut all: Vec<(f64, bool)> = middles.filter(|_| a_day > 0).collect();
    all.extend((0..=DAYS).map(|day| (f64::from(day), true)));
    all.retain(|(t, _)| *t > begin && *t <= end);
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all
}

/// What is looked at on the way.
struct Seen<'a> {
    asked: &'a Asked<'a>,
    /// Sums of the warmth of core and pocket through the day [°C].
    sums: (f64, f64),
    count: f64,
    course: Option<&'a mut Course>,
}

impl Seen<'_> {
    fn look(&mut self, y: &[f64], day: bool) {
        let (bin, layout) = (self.asked.bin, self.asked.layout);
        let Some(course) = &mut self.course else {
            return;
        };
        if !day {
            let (core, hot) = rates::core_and_hot(bin, layout, y);
            self.sums = (self.sums.0 + core, self.sums.1 + hot);
            self.count += 1.0;
            return;
        }
        let (life, bed) = &mut *self.asked.here.borrow_mut();
        layout.fill_whole(y, bin, (life, bed));
        let (core, hot) = (self.sums.0 / self.count, self.sums.1 / self.count);
        course.add(bin.figures(life, bed, core, hot));
        (self.sums, self.count) = ((0.0, 0.0), 0.0);
    }
}

/// Looks a day at the warmth of core and pocket, whose means are shown.
const LOOKS: u32 = 48;

/// Solves it at a relative tolerance; its daily course goes to `course`.
pub fn run(bin: &Bin, rtol: f64, course: Option<&mut Course>) -> Result<Took, Box<dyn Error>> {
    let layout = Layout::of(bin);
    let asked = Asked::new(bin, &layout);
    let mut y = start(bin, &layout);
    let mut took = Took::default();
    let a_day = if course.is_some() { LOOKS } else { 0 };
    let mut seen = Seen {
        asked: &asked,
        sums: (0.0, 0.0),
        count: 0.0,
        course,
    };
    for span in breaks(bin).windows(2) {
        if span[0].fract() == 0.0 {
            asked.happen(span[0] as u32, &mut y);
        }
        let looks = looks(span[0], span[1], a_day);
        y = stretch(
            &asked,
            &y,
            (span[0], span[1]),
            rtol,
            (&looks, &mut seen),
            &mut took,
        )?;
    }
    took.evaluations = asked.evaluations.get();
    took.of_jacobians = asked.of_jacobians.get();
    Ok(took)
}

/// One span in which nothing is put in; gives the state at its end.
fn stretch(
    asked: &Asked<'_>,
    y: &[f64],
    (begin, end): (f64, f64),
    rtol: f64,
    (looks, seen): (&[(f64, bool)], &mut Seen<'_>),
    took: &mut Took,
) -> Result<Vec<f64>, Box<dyn Error>> {
    let problem = OdeBuilder::<Matrix>::new()
        .t0(begin)
        .rtol(rtol)
        .atol(asked.little.iter().map(|little| rtol * little))
        .rhs_implicit(
            |y, _, t, d| asked.rates(t, y, d),
            |y, _, t, v, d| asked.toward(t, y, v, d),
        )
        .init(|_, _, to| to.copy_from_slice(y), y.len())
        .build()?;
    let mut solver = problem.bdf::<Factors>()?;
    solver.set_stop_time(end)?;
    let mut looks = looks.iter().peekable();
    loop {
        let stops = matches!(solver.step()?, OdeSolverStopReason::TstopReached);
        let now = solver.state().t;
        while let Some((at, day)) = looks.next_if(|(at, _)| stops || *at <= now) {
            let there = solver.interpolate(at.min(now))?;
            seen.look(&there.clone_as_vec(), *day);
        }
        if stops {
            break;
        }
    }
    let statistics = solver.get_statistics();
    took.steps += statistics.number_of_steps as u64;
    took.factored += statistics.number_of_linear_solver_setups as u64;
    Ok(solver.state().y.clone_as_vec())
}
