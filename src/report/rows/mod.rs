//! The rows of the report, by what they speak of.

mod around;
mod audits;
mod costs;
mod feeders;
mod people;
mod stations;
mod stores;
mod tests;
mod week;

pub use around::{CarrierRow, ChosenBy, GateRow, LaneRow, MoveRow, YardRow};
pub use audits::{HoldRow, PromiseRow, StopRow, StoppedKind, Verdict, WindowRow};
pub use costs::CostRow;
pub use feeders::FeederRow;
pub use people::{
    DecidedRow, FloaterRow, FloaterShares, HelpRow, HelpShares, PeopleKind, PeopleRow, PeopleShares,
    PresenceRow, TurnRow,
};
pub use stations::{
    BottleneckRow, Evidence, Method, MethodRow, ModelLoad, PlaceKind, PushRow, StateShares, StationRow,
};
pub use stores::{EquipmentRow, EquipmentShares, LevelFigures, LevelRow, OrderingRow, StoreRow};
pub use tests::{ClosedFormRow, TestRow, Wait, WrongRow};
pub use week::{Week, WeekHour, WeekRow};
