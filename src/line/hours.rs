//! Whose hours hold where: those of the line, or those of a feeder that has its own.
//!
//! Hours have numbers: 0 are the line's, k + 1 those of the k-th feeder in the file that states its own.

use super::{
    Calendar, Crew, EquipmentId, GroupId, Keep, Line, Mending, Place, PlaceId, Step, Stopped, Stopping,
};

/// The number of the line's hours.
pub const OF_THE_LINE: u16 = 0;

/// The calendar of some hours, of those of the line and the own ones; `None`: attended round the clock.
pub fn calendar_of<'c>(line: Option<&'c Calendar>, own: &'c [Calendar], hours: u16) -> Option<&'c Calendar> {
    match usize::from(hours).checked_sub(1) {
        None => line,
        Some(index) => own.get(index),
    }
}

impl Line {
    /// The calendar of some hours; `None`: attended round the clock.
    pub fn calendar_of(&self, hours: u16) -> Option<&Calendar> {
        calendar_of(self.calendar.as_ref(), &self.own_hours, hours)
    }

    /// Whose hours hold at a place.
    pub fn hours_at(&self, place: PlaceId) -> u16 {
        self.places[place.index()].hours
    }

    /// All places of a crew have the same hours.
    pub fn hours_of_crew(&self, crew: &Crew) -> u16 {
        crew.places.first().map_or(OF_THE_LINE, |place| self.hours_at(*place))
    }

    /// All crews that want people of a group, and all places where they help, have the same hours; others have those of
    /// the line.
    pub fn hours_of_group(&self, group: GroupId) -> u16 {
        let wants = |crew: &&Crew| crew.members.iter().any(|(_, id)| *id == group);
        match self.crews.iter().find(wants) {
            Some(crew) => self.hours_of_crew(crew),
            None => {
                let helps = self.helping.iter().find(|helping| helping.group == group);
                helps.map_or(OF_THE_LINE, |helping| self.hours_of_cover(helping.covering.as_deref()))
            }
        }
    }

    /// All places that somebody covers have the same hours.
    pub fn hours_of_cover(&self, covering: Option<&[PlaceId]>) -> u16 {
        covering.and_then(<[PlaceId]>::first).map_or(OF_THE_LINE, |place| self.hours_at(*place))
    }

    pub fn hours_of_equipment(&self, equipment: EquipmentId) -> u16 {
        hours_of_stopped(&Stopped::Equipment(equipment), &self.places, &self.steps, &self.keeps)
    }

    pub fn hours_of_stop(&self, stop: &Stopping) -> u16 {
        hours_of_stopped(&stop.what, &self.places, &self.steps, &self.keeps)
    }

    /// The hours in which a stop is mended, where its repair goes by net time.
    pub fn hours_of_mending(&self, stop: &Stopping) -> u16 {
        match stop.mending {
            Mending::By { group, .. } => self.hours_of_group(group),
            Mending::OnTheClock | Mending::InNetTime => self.hours_of_stop(stop),
        }
    }
}

/// Places of one feeder, and equipment of which it alone makes use, have its hours; any others those of the line.
pub fn hours_of_stopped(what: &Stopped, places: &[Place], steps: &[Step], keeps: &[Keep]) -> u16 {
    let concerned: Vec<PlaceId> = match what {
        Stopped::Places(stopped) => stopped.clone(),
        Stopped::Equipment(equipment) => {
            let takes = |step: &&Step| step.equipment.iter().any(|(id, _)| id == equipment);
            let kept = keeps.iter().filter(|keep| keep.equipment == *equipment);
            let kept = kept.map(|keep| steps[keep.from.index()].place);
            steps.iter().filter(takes).map(|step| step.place).chain(kept).collect()
        }
    };
    let mut hours = concerned.iter().map(|place| places[place.index()].hours);
    let first = hours.next().unwrap_or(OF_THE_LINE);
    if hours.all(|other| other == first) { first } else { OF_THE_LINE }
}
