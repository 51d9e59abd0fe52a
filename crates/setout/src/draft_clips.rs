//! The clips of a draft: bar by bar, and once more where they overload a joist.

use crate::bars::FrameBar;
use crate::carry::{self, Share};
use crate::clips::{self, BarClips, Hung, Places, Spot};
use crate::draft::{Failed, Site};
use crate::laps::Lengths;

/// Rounds in which the clips are chosen again to spare joists; each makes the joists that are still overloaded dearer.
const SPARING_ROUNDS: usize = 16;
/// What a kilogram on an overloaded joist is made dearer by in a round, in clips, at the joist most overloaded.
const DEARER_BY: f64 = 0.12;
/// A joist this near what it may carry is not asked to take more \[kg\].
const NEARLY_KG: f64 = 1.0;

impl Site<'_> {
    /// What hangs on joists beyond what they may carry, all joists together, kg rounded up; a noggin's clip in equal shares on the joists
    /// it lies between.
    pub(crate) fn overload_kg(&self, bars: &[FrameBar], clips: &[BarClips]) -> usize {
        let over = self.over_kg(bars, clips);
        over.iter().filter(|kg| **kg > 1e-6).sum::<f64>().ceil() as usize
    }

    /// What hangs on each joist beyond what it may carry; minus: what it may still take. Nothing where that is not known of any.
    fn over_kg(&self, bars: &[FrameBar], clips: &[BarClips]) -> Vec<f64> {
        let joists = &self.ceiling.joists;
        if joists.iter().all(|joist| joist.allowed_kg.is_none()) {
            return Vec::new();
        }
        let mut carried = vec![0.0; joists.len()];
        for (bar, own) in bars.iter().zip(clips) {
            for (spot, load) in own.spots.iter().zip(&own.loads_kg) {
                let under = self.joists_under(bar, spot);
                for joist in &under {
                    if let Some(carried) = carried.get_mut(*joist) {
                        *carried += load / under.len() as f64;
                    }
                }
            }
        }
        let over =
            |(joist, kg): (&crate::Joist, &f64)| joist.allowed_kg.map_or(-f64::INFINITY, |most| kg - most);
        joists.iter().zip(&carried).map(over).collect()
    }

    fn joists_under(&self, bar: &FrameBar, spot: &Spot) -> Vec<usize> {
        spot.joist.map_or_else(
            || clips::noggin_between(self.room, self.ceiling, bar.at(spot.along_mm)).0,
            |joist| vec![joist],
        )
    }

    /// The clips of every bar. Where they overload a joist they are chosen anew, neighbouring joists taking what it cannot.
    pub(crate) fn clips(&self, bars: &[FrameBar], lengths: &[Lengths]) -> Result<Vec<BarClips>, Failed> {
        let shares = carry::shares(self.room, &self.bar_rules, bars);
        let mut all: Vec<BarClips> = Vec::with_capacity(bars.len());
        for ((bar, share), own) in bars.iter().zip(&shares).zip(lengths) {
            let hung = Hung::new(share, bar, own, &self.clip_rules);
            let before = joists_of(all.last());
            let joists = clips::joist_spots(self.room, bar);
            let Some(chosen) = clips::choose(&hung, &joists, &before, &self.clip_rules) else {
                return Err(Failed::Load);
            };
            all.push(chosen);
        }
        Ok(self.sparing(bars, lengths, &shares, all))
    }

    /// Chooses the clips again and again, kilograms on overloaded joists dearer each time (as the multipliers of a Lagrangian), and
    /// keeps the choice that overloads least, of these the one with the fewest noggins and clips.
    fn sparing(
        &self,
        bars: &[FrameBar],
        lengths: &[Lengths],
        shares: &[Share],
        first: Vec<BarClips>,
    ) -> Vec<BarClips> {
        let sum = |over: &[f64]| over.iter().filter(|kg| **kg > 1e-6).sum::<f64>();
        let count = |all: &[BarClips]| {
            let spots = || all.iter().flat_map(|c| &c.spots);
            (spots().filter(|s| s.joist.is_none()).count(), spots().count())
        };
        let mut over = self.over_kg(bars, &first);
        if sum(&over) <= 0.0 {
            return first;
        }
        let mut dear = vec![0.0_f64; self.ceiling.joists.len()];
        let hung: Vec<Hung> = bars
            .iter()
            .zip(shares)
            .zip(lengths)
            .map(|((bar, share), own)| Hung::new(share, bar, own, &self.clip_rules))
            .collect();
        let spared: Vec<Spared> =
            bars.iter().zip(&hung).map(|(bar, hung)| Spared::new(self, bar, hung)).collect();
        let (mut best_over, mut best) = (sum(&over), first);
        for _ in 0..SPARING_ROUNDS {
            let most = over.iter().copied().fold(1e-6, f64::max);
            for (each, kg) in dear.iter_mut().zip(&over) {
                *each += DEARER_BY * (kg / most).max(0.0);
                // One that is nearly full is kept from being the next.
                if *kg <= 0.0 && *kg > -NEARLY_KG {
                    *each += DEARER_BY / 4.0;
                }
            }
            let mut all: Vec<BarClips> = Vec::with_capacity(bars.len());
            for own in &spared {
                all.extend(own.clips(self, &joists_of(all.last()), &dear));
            }
            if all.len() < bars.len() {
                break;
            }
            over = self.over_kg(bars, &all);
            let left = sum(&over);
            let better = left < best_over - 1e-6 || (left < best_over + 1e-6 && count(&all) < count(&best));
            if better {
                (best_over, best) = (left, all);
            }
            if left <= 0.0 {
                break;
            }
        }
        best
    }
}

/// A bar whose clips are chosen again and again: its places, and the joists each puts its load on.
struct Spared<'a> {
    bar: &'a FrameBar,
    hung: &'a Hung<'a>,
    joists: Vec<Spot>,
    places: Places<'a>,
    under: Vec<Vec<usize>>,
}

impl<'a> Spared<'a> {
    fn new(site: &'a Site, bar: &'a FrameBar, hung: &'a Hung) -> Self {
        let joists = clips::joist_spots(site.room, bar);
        let places = Places::on(&joists, hung, &site.clip_rules, false);
        let under = places.spots().iter().map(|spot| site.joists_under(bar, spot)).collect();
        Self { bar, hung, joists, places, under }
    }

    /// The cheapest in clips, noggins and what they put on dear joists.
    fn clips(&self, site: &Site, before: &[usize], dear: &[f64]) -> Option<BarClips> {
        let each_kg = |under: &[usize]| {
            let sum: f64 = under.iter().filter_map(|joist| dear.get(*joist)).sum();
            sum / under.len().max(1) as f64
        };
        let costs: Vec<f64> = self.under.iter().map(|under| each_kg(under)).collect();
        self.places.best(before, &costs).or_else(|| {
            let closer = Places::on(&self.joists, self.hung, &site.clip_rules, true);
            let cost = |spot: &Spot| each_kg(&site.joists_under(self.bar, spot));
            let costs: Vec<f64> = closer.spots().iter().map(cost).collect();
            closer.best(before, &costs)
        })
    }
}

fn joists_of(clips: Option<&BarClips>) -> Vec<usize> {
    clips.map_or_else(Vec::new, |c| c.spots.iter().filter_map(|s| s.joist).collect())
}
