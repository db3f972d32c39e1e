//! A feeder of one or two stations whose parts some task takes.

use super::features::Feature;
use super::write::{Crew, Writer};

#[derive(Clone, Copy)]
pub(super) struct Feeder {
    /// It builds for the units that follow, so exactly one task takes its parts.
    pub ahead: bool,
    pub taken: bool,
}

impl Writer {
    /// For a supply or a feeder.
    pub(super) fn short_text(&mut self) -> String {
        if !self.wants(Feature::Short, 50) {
            return String::new();
        }
        let share = *self.dice.one_of(&[10, 30, 100]);
        match self.dice.chance(50) {
            true => format!("  short {share} %, arriving in {} min", self.dice.from(0, 20)),
            false => format!("  short {share} %, arriving in 2/6/40 min"),
        }
    }

    pub(super) fn decide_feeder(&mut self) {
        if !self.wants(Feature::Feeders, 100) {
            return;
        }
        let full = self.features.used.contains(&Feature::Full);
        let ahead = !full && self.wants(Feature::Ahead, 100);
        self.feeder = Some(Feeder { ahead, taken: false });
    }

    /// The task being written takes a part of the feeder.
    pub(super) fn takes_box(&mut self, free: bool) -> bool {
        let Some(feeder) = self.feeder else { return false };
        let wanted = match feeder.ahead {
            true => free && !feeder.taken && self.dice.chance(40),
            false => self.dice.chance(25),
        };
        if wanted {
            self.feeder = Some(Feeder { taken: true, ..feeder });
        }
        wanted
    }

    /// Shifts of its own: nights, half days, Saturdays, two in a row.
    fn hours_text(&mut self) -> &'static str {
        match self.dice.from(0, 4) {
            0 => "  shift own 22:00 to 04:00 on sun to thu  meal 01:00 lasting 20 min\n",
            1 => "  shift own 06:00 to 10:00  break 08:00 lasting 15 min\n",
            2 => {
                "  shift own 05:00 to 11:00 on mon to sat  meeting 10 min\n  \
                 shift own2 11:00 to 16:30 on mon to fri  break 13:00 lasting 25 min\n"
            }
            3 => "  shift own 07:00 to 13:00 on mon, wed, sat  clean-up 6 min\n",
            _ => "  shift own 00:00 to 06:00 on mon to fri\n  shift own2 13:50 to 19:00 on mon to fri\n",
        }
    }

    fn own_crew(&mut self) -> String {
        let count = self.dice.from(1, 2);
        self.own_wanted += count;
        match self.features.allows(Feature::Skills) {
            true => format!("crew {count} own"),
            false => format!("crew {count}"),
        }
    }

    /// What else its work may say: through breaks, only if it fits, with what the line works with, too.
    fn more_of_own_work(&mut self) -> &'static str {
        let shared = self.step_text.contains("with rig");
        match self.dice.from(0, 5) {
            0 if self.wants(Feature::ThroughBreaks, 100) => "  through breaks",
            1 if self.wants(Feature::MustFit, 100) => "  only if it fits",
            2 | 3 if shared => "  with rig",
            _ => "",
        }
    }

    /// Its statement; nothing where no task came to take its parts.
    pub(super) fn feeder_text(&mut self) -> String {
        let unused = [Feature::Feeders, Feature::Ahead];
        let Some(Feeder { ahead, .. }) = self.feeder.filter(|feeder| feeder.taken) else {
            self.features.used.retain(|feature| !unused.contains(feature));
            return String::new();
        };
        let lot = self.wants(Feature::FeederLots, 50).then(|| self.dice.from(1, 4));
        // Parts of other models that a lot may bring before the one that is due.
        let early = match lot.filter(|_| ahead) {
            Some(lot) => (self.models.len() as u32 - 1) * (lot - 1),
            None => 0,
        };
        let units_ahead = self.dice.from(1, 8) + lot.filter(|_| ahead).map_or(0, |lot| lot + early);
        // A small store may fill with the parts of units that a test has taken off: then the line stands.
        let loses_units = ahead && self.features.used.contains(&Feature::Tests);
        let places = self.dice.from(1, 5) + early + if loses_units { units_ahead + 6 } else { 0 };
        let mut text = format!("feeder boxes store of {places}");
        if self.dice.chance(40) {
            text.push_str(&format!(", {} at start", self.dice.from(0, places)));
        }
        if ahead {
            text.push_str(&format!("  builds {units_ahead} units ahead"));
        } else if self.dice.chance(30) {
            text.push_str("  builds to stock");
        }
        // A truck larger than what is ordered ahead of the line would never be full.
        let most = (if ahead { places.min(units_ahead) } else { places }) - early;
        if let Some(lot) = lot {
            text.push_str(&format!("  in lots of {lot}"));
        }
        if self.wants(Feature::Trucks, 60) {
            text.push_str(&format!("  in trucks of {}", self.dice.from(1, most)));
            if self.dice.chance(40) {
                text.push_str(&format!(" every {} min", self.dice.from(2, 40)));
            }
            if self.wants(Feature::Ways, 100) {
                text.push_str(&format!(", arriving in {} min", self.dice.from(1, 90)));
            }
        }
        let short = self.short_text();
        text.push_str(&short);
        if ahead && self.wants(Feature::Wrong, 60) {
            let shares: &[u32] = if lot.is_some() { &[15, 40, 100] } else { &[0, 15, 40, 100] };
            let share = *self.dice.one_of(shares);
            text.push_str(&format!("  wrong {share} %, re-kitted in {} min", self.dice.from(0, 9)));
        }
        text.push_str(" {\n");
        let own_hours = self.wants(Feature::OwnHours, 100);
        if own_hours {
            text.push_str(self.hours_text());
        }
        let stations = self.dice.from(1, 2);
        for k in 1..=stations {
            let bays = self.dice.from(1, 2);
            let slots = if k > 1 && self.dice.chance(40) { "  slots 1" } else { "" };
            let plu = if self.features.allows(Feature::Skills) { self.dice.from(0, 1) } else { 0 };
            let crew = match own_hours {
                true => self.own_crew(),
                false => self.crew_text(Crew { fit: 1, plu, vis: 0, per_bay: false, team: None }, bays),
            };
            let stopping =
                if own_hours && self.wants(Feature::Stops, 40) { self.stopping() } else { String::new() };
            let (time, _) = self.time(10, 70, false);
            let by_model = match ahead && self.models.len() > 1 && self.dice.chance(50) {
                true => "  for B x 1.4",
                false => "",
            };
            let ordered = if ahead && bays > 1 { "  ordered" } else { "" };
            text.push_str(&format!("  station F{k}  {crew}  bays {bays}{slots}{ordered}{stopping}\n"));
            let set_up = lot.is_some() && (k == 1 || self.dice.chance(40));
            let after = if set_up && self.dice.chance(70) { format!("  after su{k}") } else { String::new() };
            if set_up {
                let (time, _) = self.time(5, 60, false);
                text.push_str(&format!("    task su{k}  takes {time}  by 1{by_model}  once a lot\n"));
            }
            let more = if own_hours { self.more_of_own_work() } else { "" };
            text.push_str(&format!("    task f{k}  takes {time}  by 1{by_model}{after}{more}\n"));
            if self.dice.chance(25) {
                text.push_str(&format!("    hold g{k}  at least 4 min  after f{k}\n"));
            }
        }
        if self.wants(Feature::FeederTests, 60) {
            // Parts for later units fill a small store, while one that was lost is made again: then the line stands, and
            // only stops go on.
            let in_turn = own_hours && ahead;
            let outcome = match self.dice.from(0, 3) {
                0..=2 if in_turn => "retest in place",
                0 => "scrapped",
                1 if stations == 2 => "back to F1",
                2 => "retest in queue",
                _ => "fixed in place takes 3 min by 1",
            };
            let passes = self.dice.from(70, 95);
            let tries = if in_turn { "" } else { "  at most 3 tries" };
            text.push_str(&format!(
                "    test v  of f{stations}  passes {passes} %  on fail {outcome}{tries}\n"
            ));
        }
        text.push_str("}\n");
        text
    }
}
