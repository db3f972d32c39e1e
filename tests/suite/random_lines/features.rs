//! What a random line may hold; each seed switches some of it off altogether.

use super::dice::Dice;

macro_rules! features {
    ($($name:ident $percent:literal $words:literal;)+) => {
        /// One thing that a line may hold.
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
        pub enum Feature { $($name,)+ }

        impl Feature {
            pub const ALL: &'static [Feature] = &[$(Feature::$name,)+];

            pub fn words(self) -> &'static str {
                match self { $(Feature::$name => $words,)+ }
            }

            /// In how many of a hundred seeds it is allowed at all.
            fn percent(self) -> u32 {
                match self { $(Feature::$name => $percent,)+ }
            }
        }
    };
}

features! {
    Calendar 60 "calendar";
    Breaks 60 "breaks";
    SecondShift 40 "second shift";
    Overtime 45 "overtime";
    ExtraShift 40 "a shift if the week lacks units";
    Closed 20 "closed day";
    HomeAfter 35 "home after";
    Models 60 "models";
    ModelTimes 50 "times by model";
    ModelPeople 40 "people by model";
    ModelOnly 50 "steps of some models";
    Options 40 "options";
    Spacing 50 "spacing";
    Levelled 20 "levelled";
    Pattern 20 "pattern";
    Batches 20 "batches";
    ByTakt 25 "release by takt";
    Every 35 "release every";
    OnTheClock 40 "on the clock";
    Full 30 "start full";
    Bays 55 "bays";
    Ordered 40 "ordered";
    Slots 55 "slots";
    StationTimes 20 "times of a station";
    Walks 25 "people who walk";
    Racks 45 "racks";
    Team 40 "shared crew";
    PerBay 45 "crew per bay";
    Skills 50 "skills";
    Absence 45 "absence";
    FewerLater 45 "fewer people on the second shift";
    Exactly 45 "exactly";
    Spare 40 "spare people";
    Shared 40 "people who share a task";
    Visitors 40 "visitors";
    VisitorsMend 50 "visitors who mend";
    Floaters 50 "floaters";
    Helpers 40 "people who lend a hand";
    OnCall 40 "people who come when they are called";
    Learning 30 "new people who learn";
    Zones 45 "zones";
    Limits 50 "limits";
    Apart 40 "work kept apart on a unit";
    ApartNear 40 "work kept apart near by";
    Equipment 45 "equipment";
    Keep 40 "keep";
    Gates 35 "gates";
    GoesOn 60 "faults that go on";
    Carriers 30 "carriers";
    Yard 20 "yard";
    EveryNth 50 "options of every n-th unit";
    Parts 30 "parts in lots";
    LateLots 40 "late lots";
    LotDays 40 "lots on days";
    LotsAtLevel 40 "lots ordered at a level";
    Feeders 35 "feeders";
    Ahead 45 "feeders that build ahead";
    Trucks 40 "trucks of feeders";
    FeederLots 45 "feeders in lots";
    FeederTests 50 "tests in feeders";
    Short 40 "parts that are short";
    Wrong 40 "parts of the wrong model";
    Holds 60 "holds";
    HoldDraws 50 "hold draws";
    AttendedHolds 40 "attended holds";
    Warmth 30 "holds that must be warm";
    ThroughBreaks 25 "work through breaks";
    MustFit 25 "work only if it fits";
    Windows 40 "windows";
    Draws 75 "draws";
    Parallel 60 "parallel steps";
    Nobody 30 "steps without people";
    Moving 35 "moving";
    PushedReady 35 "pushed when ready";
    PushedEvery 35 "pushed every";
    OnTheGrid 40 "on the grid";
    LateWork 60 "late work travels";
    Index 60 "index";
    Movers 50 "people who move units";
    Tests 65 "tests";
    Fixed 60 "fixed in place";
    Back 55 "back to";
    Repair 50 "repair bay";
    Scrap 40 "scrap";
    RetestInPlace 40 "retest in place";
    RetestInQueue 40 "retest in queue";
    FalseAlarms 30 "false alarms";
    Escapes 40 "faults that a test lets through";
    EscapesToGates 40 "faults that a gate finds after a test";
    Tries 50 "most tries";
    InTurn 30 "returns in turn";
    AfterTest 40 "steps after a test";
    Stops 45 "stops of places";
    EquipmentStops 50 "stops of equipment";
    GroupStops 30 "stops of groups";
    Calls 25 "calls for help";
    Weather 20 "weather";
    UseStops 50 "stops that come with use";
    Menders 50 "people who mend";
    Drift 40 "crews that drift";
    Early 45 "crews that begin early";
    Fetched 60 "equipment that is fetched";
    Ranks 60 "tasks that get equipment first";
    OwnHours 45 "feeders with hours of their own";
    Ways 50 "trucks that are on their way";
    Lanes 35 "lanes";
    HelpersInCrews 50 "people of crews who lend a hand";
    HelpersMend 50 "people who mend and lend a hand";
    HelpersLearn 50 "people who lend a hand and learn";
    OwnHelp 50 "people who help a feeder in its hours";
    OwnFloaters 50 "floaters of a feeder with hours of its own";
    SharedTravels 60 "tasks that are shared and travel";
    ApartSides 60 "work kept apart in a zone that is chosen";
    EarlyPerBay 70 "crews of one bay that begin early";
    LateWalks 60 "people who walk to what a window closes";
    EarlyWalks 60 "people who walk to what they begin early";
    MovingHolds 60 "holds that move with their units";
    PullOff 60 "units that are pulled off the line";
    Turns 40 "units that are turned";
    InTurnInLanes 60 "returns in turn where lanes begin";
    TurnsInLanes 70 "units that are turned in lanes";
    KeepFromHold 70 "holds from which equipment is kept";
}

/// The features allowed, and those that really came to be used.
pub struct Features {
    allowed: Vec<Feature>,
    pub used: Vec<Feature>,
}

impl Features {
    pub fn draw(dice: &mut Dice) -> Features {
        let allowed = Feature::ALL.iter().copied().filter(|f| dice.chance(f.percent())).collect();
        Features { allowed, used: Vec::new() }
    }

    pub fn allows(&self, feature: Feature) -> bool {
        self.allowed.contains(&feature)
    }

    pub fn note(&mut self, feature: Feature) {
        if !self.used.contains(&feature) {
            self.used.push(feature);
        }
    }
}
