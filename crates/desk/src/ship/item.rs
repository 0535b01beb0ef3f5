//! Figures of the ship file that are not the plant sheet, defined once: key, unit, range, meaning, where to read it off.

/// One figure of the ship's own sections.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Item {
    /// Key in the file and in the form, unit included.
    pub key: &'static str,
    /// Label in the form.
    pub label: &'static str,
    /// Unit code; empty for a plain number.
    pub unit: &'static str,
    /// Refused outside, in `unit`.
    pub hard: (f64, f64),
    /// Usual aboard, in `unit` (common practice).
    pub typical: (f64, f64),
    /// What it is.
    pub meaning: &'static str,
    /// Where to read it off.
    pub place: &'static str,
}

macro_rules! section {
    ($(#[$doc:meta])* $name:ident, $items:ident, $($field:ident: $default:expr, $label:expr, $unit:expr, $hard:expr, $typical:expr, $meaning:expr, $place:expr;)*) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq)]
        pub struct $name {
            $(#[doc = $meaning] pub $field: f64,)*
        }

        impl Default for $name {
            fn default() -> Self {
                Self { $($field: $default,)* }
            }
        }

        /// The figures of the section in the order of the form.
        pub const $items: &[Item] = &[
            $(Item { key: stringify!($field), label: $label, unit: $unit, hard: $hard, typical: $typical, meaning: $meaning, place: $place },)*
        ];

        impl $name {
            /// The figure of this key, in its unit.
            #[must_use]
            pub fn get(&self, key: &str) -> Option<f64> {
                match key {
                    $(stringify!($field) => Some(self.$field),)*
                    _ => None,
                }
            }

            /// Sets the figure of this key; false when there is no such key. The range is the caller's to check.
            pub(crate) fn set(&mut self, key: &str, value: f64) -> bool {
                match key {
                    $(stringify!($field) => self.$field = value,)*
                    _ => return false,
                }
                true
            }
        }
    };
}

section! {
    /// Limits at which the ship wants to be told, common practice unless the maker says otherwise.
    Limits, LIMITS,
    salinity_dump_mg_kg: 10.0, "Salinity, dump at", "mg_kg", (0.1, 500.0), (2.0, 10.0), "At this salinity the diverting valve sends the distillate back.", "salinometer setting";
    vacuum_min_percent: 85.0, "Vacuum not under", "percent", (0.0, 100.0), (80.0, 90.0), "Corrected vacuum under which something is wrong.", "company order or maker's manual";
    vapour_max_c: 60.0, "Vapour not over", "degC", (30.0, 100.0), (55.0, 65.0), "Vapour temperature above which scale and corrosion hurry.", "maker's manual";
    ejector_min_bar_g: 3.0, "Nozzle inlet not under", "bar_g", (0.0, 15.0), (2.8, 3.5), "Under this the jet draws neither air nor brine.", "maker's manual";
    back_max_bar_g: 0.8, "Ejector outlet not over", "bar_g", (0.0, 5.0), (0.6, 0.8), "Above this the jet stalls.", "maker's manual";
    brine_max_g_kg: 65.0, "Brine not over", "g_kg", (36.0, 200.0), (60.0, 80.0), "Brine strength above which scale is laid down.", "maker's manual, 2/32 by the old scale";
    engine_jacket_min_c: 76.0, "Engine jacket outlet not under", "degC", (40.0, 110.0), (74.0, 80.0), "Engine's low alarm less a margin.", "engine alarm list";
    engine_jacket_max_c: 90.0, "Engine jacket outlet not over", "degC", (50.0, 120.0), (88.0, 92.0), "Engine's high alarm less a margin.", "engine alarm list";
    output_look_percent: 90.0, "Look when output falls under", "percent", (10.0, 100.0), (85.0, 95.0), "Share of the expected output under which to look for the cause.", "chief's order";
    output_act_percent: 80.0, "Act when output falls under", "percent", (10.0, 100.0), (75.0, 85.0), "Share of the expected output under which to act.", "chief's order";
}

section! {
    /// How far the sheet and the settings can be trusted: one standard deviation each.
    Doubts, DOUBTS,
    rated_product_percent: 2.0, "Rated output", "percent", (0.0, 30.0), (1.0, 4.0), "How far the maker's rated output may be off.", "our estimate";
    rated_vapour_temp_k: 0.5, "Rated evaporating temperature", "K_diff", (0.0, 10.0), (0.2, 1.0), "How far the rated evaporating temperature may be off.", "our estimate";
    rated_flow_percent: 4.0, "Rated flows", "percent", (0.0, 50.0), (2.0, 8.0), "How far rated jacket and condenser flows may be off.", "our estimate";
    jacket_flow_percent: 5.0, "Jacket flow now", "percent", (0.0, 50.0), (3.0, 10.0), "How well the flow through the heater is known from meter or by-pass mark.", "our estimate";
    condenser_flow_percent: 5.0, "Condenser flow now", "percent", (0.0, 50.0), (3.0, 10.0), "How well the flow through the condenser is known from the throttle mark.", "our estimate";
    feed_percent: 6.0, "Feed now", "percent", (0.0, 50.0), (3.0, 10.0), "How well the feed is known from its pressure.", "our estimate";
    gas_capacity_percent: 25.0, "Ejector gas capacity", "percent", (0.0, 80.0), (10.0, 40.0), "How well the ejector's capacity for air is known.", "our estimate";
    air_leak_percent: 35.0, "Air leak", "percent", (0.0, 100.0), (20.0, 60.0), "How much the air leak of a sound plant varies.", "our estimate";
    carry_over_percent: 40.0, "Carry-over", "percent", (0.0, 100.0), (20.0, 60.0), "How much the carry-over of a sound demister varies.", "our estimate";
}
