//! Feeders with hours of their own, worked out a second time: whose calendar holds where.

use super::Follower;
use super::attendance::Attendance;
use super::unit::What;
use taktwright::line::{Crew, CrewId, EquipmentId, Mending, PlaceId, Stopped};
use taktwright::units::Time;

impl Follower<'_> {
    /// The calendar of the line (0), or of the k-th feeder that has its own (k + 1).
    pub fn days_of(&self, hours: u16) -> &Attendance {
        if hours == 0 { &self.days } else { &self.own_days[usize::from(hours) - 1] }
    }

    pub fn hours_at(&self, place: PlaceId) -> u16 {
        self.line.places[place.index()].hours
    }

    pub fn days_at(&self, place: PlaceId) -> &Attendance {
        self.days_of(self.hours_at(place))
    }

    /// Somebody is there now.
    pub fn attended_at(&self, place: PlaceId) -> bool {
        self.days_at(place).attended(self.now)
    }

    fn hours_for(&self, what: What) -> u16 {
        let place = match what {
            What::Step(step) => self.line.steps[step.index()].place,
            // A fix away from the test is done in the same feeder.
            What::Fix(test) => self.line.tests[test.index()].place,
        };
        self.hours_at(place)
    }

    /// The calendar by which this is worked on.
    pub fn days_for(&self, what: What) -> &Attendance {
        self.days_of(self.hours_for(what))
    }

    pub fn is_of_the_line(&self, what: What) -> bool {
        self.hours_for(what) == 0
    }

    pub fn days_of_crew(&self, crew: CrewId) -> &Attendance {
        self.days_at(self.line.crews[crew.index()].places[0])
    }

    pub fn days_of_group(&self, group: usize) -> &Attendance {
        self.days_of(self.hours_of_group(group))
    }

    /// Of its crews; of those who help without one, of the places where they do.
    pub fn hours_of_group(&self, group: usize) -> u16 {
        let wants = |crew: &&Crew| crew.members.iter().any(|(_, id)| id.index() == group);
        let crew = self.line.crews.iter().find(wants).map(|crew| crew.places[0]);
        let helps = self.line.helping.iter().find(|helping| helping.group.index() == group);
        let covered = helps.and_then(|helping| helping.covering.as_ref()?.first().copied());
        crew.or(covered).map_or(0, |place| self.hours_at(place))
    }

    /// Equipment of one feeder alone goes by its hours.
    pub fn hours_of_equipment(&self, equipment: EquipmentId) -> u16 {
        let kept = self.line.keeps.iter().filter(|keep| keep.equipment == equipment).map(|keep| keep.from);
        let steps = self.line.steps.iter();
        let takes = steps.filter(|step| step.equipment.iter().any(|(id, _)| *id == equipment));
        let places = takes.map(|step| step.place).chain(kept.map(|step| self.line.steps[step.index()].place));
        self.one_of(places.collect())
    }

    fn one_of(&self, places: Vec<PlaceId>) -> u16 {
        let mut hours: Vec<u16> = places.into_iter().map(|place| self.hours_at(place)).collect();
        hours.sort_unstable();
        hours.dedup();
        if hours.len() == 1 { hours[0] } else { 0 }
    }

    /// The calendar by which a cause of stops counts.
    pub fn days_of_stop(&self, cause: usize) -> &Attendance {
        let hours = match &self.line.stops[cause].what {
            Stopped::Places(places) => self.one_of(places.clone()),
            Stopped::Equipment(equipment) => self.hours_of_equipment(*equipment),
        };
        self.days_of(hours)
    }

    /// And that by which it is mended.
    pub fn days_of_mending(&self, cause: usize) -> &Attendance {
        match self.line.stops[cause].mending {
            Mending::By { group, .. } => self.days_of_group(group.index()),
            Mending::OnTheClock | Mending::InNetTime => self.days_of_stop(cause),
        }
    }

    pub fn net_of_stop(&self, cause: usize) -> Time {
        self.days_of_stop(cause).net(self.now)
    }

    pub fn net_of_mending(&self, cause: usize) -> Time {
        self.days_of_mending(cause).net(self.now)
    }

    /// The calendar of those who change a part for another model: that of its feeder.
    pub fn days_of_part(&self, part: taktwright::line::PartId) -> &Attendance {
        let feeder = self.line.feeders.iter().find(|feeder| feeder.part == part);
        feeder.map_or(&self.days, |feeder| self.days_at(feeder.first))
    }
}
