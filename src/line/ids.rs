//! Typed indexes into the tables of a `Line`.

macro_rules! ids {
    ($($(#[doc = $doc:literal])+ $name:ident($inner:ty);)+) => {
        $($(#[doc = $doc])+
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        pub struct $name(pub $inner);

        impl $name {
            pub fn index(self) -> usize {
                self.0 as usize
            }

            /// From a table index; tables are kept within the id's range by the checker's limits.
            pub fn from_index(index: usize) -> $name {
                $name(<$inner>::try_from(index).expect("the checker limits the size of every table"))
            }
        })+
    };
}

ids! {
    /// Into `Line::models`.
    ModelId(u16);
    /// Into `Line::options`.
    OptionId(u16);
    /// Into `Line::places`: the stations and racks in line order, then the repair bays.
    PlaceId(u16);
    /// Into `Line::segments`, in line order.
    SegmentId(u16);
    /// Into `Line::steps`, in file order.
    StepId(u32);
    /// Into `Line::tests`.
    TestId(u16);
    /// Into `Line::skills`; below 64.
    SkillId(u8);
    /// Into `Line::groups`.
    GroupId(u16);
    /// Into `Line::crews`.
    CrewId(u16);
    /// Into `Line::equipment`.
    EquipmentId(u16);
    /// Into `Line::parts`, in file order.
    PartId(u16);
    /// Into `Line::zones`.
    ZoneId(u16);
}
