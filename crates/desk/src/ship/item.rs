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
    /// What stands set aboard, for a procedure to hold readings against; 0 where nobody has told it yet.
    Settings, SETTINGS,
    engine_jacket_out_c: 0.0, "Engine jacket outlet, set point", "degC", (0.0, 120.0), (78.0, 90.0), "What the engine's thermostat holds; never moved to make water. 0 where it is not told yet: then no procedure can compare with it.", "thermostat's setting, engine manual";
    feed_pressure_bar_g: 0.0, "Feed pressure, mark", "bar_g", (0.0, 10.0), (1.5, 4.0), "Before the orifice with the right feed on. 0 where it is not told yet: then no procedure can compare with it.", "maker's manual, mark on the gauge";
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

section! {
    /// When water may be made: the ship's standing orders. Defaults are common practice.
    Orders, ORDERS,
    distance_off_nmi: 20.0, "Distance off, at least", "nmi", (0.0, 500.0), (12.0, 50.0), "Nearer to land than this no water is made.", "company order; flag and port rules come first";
    depth_min_m: 0.0, "Depth, at least", "m", (0.0, 5000.0), (0.0, 200.0), "In less water than this no water is made; 0 where there is no such order. Depths here are climatology, not for navigation.", "company order";
    load_min_percent: 40.0, "Engine load, at least", "percent", (0.0, 100.0), (30.0, 50.0), "Under this load the jacket water is left to the engine.", "engine manual, chief's order";
    sea_load_percent: 80.0, "Engine load at sea", "percent", (0.0, 110.0), (40.0, 90.0), "Where the route does not say another.", "noon reports";
    settle_h: 1.0, "After full away, wait", "h", (0.0, 48.0), (0.5, 2.0), "So long the engine and the sea chests are left to settle.", "chief's order";
    notice_h: 2.0, "Before end of passage, stop by", "h", (0.0, 48.0), (1.0, 4.0), "So long before the end of sea passage no more water goes to a tank.", "chief's order";
    hands_from_h: 7.0, "Hands from", "h", (0.0, 24.0), (6.0, 8.0), "Ship's time from which there are hands to start, trim and stop; 0 to 24 where watches are kept.", "watch bill";
    hands_to_h: 19.0, "Hands to", "h", (0.0, 24.0), (17.0, 20.0), "Ship's time up to which there are hands.", "watch bill";
    start_min: 75.0, "Start to first water", "min", (0.0, 600.0), (45.0, 120.0), "From lining up to the first water in a tank; 0: as the model foretells for the sea of the day.", "the log's own starts";
    stop_min: 45.0, "Heat off to shut down", "min", (0.0, 600.0), (30.0, 90.0), "From heat off to everything secured; 0: as the model foretells.", "the log's own stops";
    reserve_days: 5.0, "Reserve", "days", (0.0, 60.0), (3.0, 7.0), "So many days' use stay aboard at any time.", "company order";
    slack_tank_t: 0.0, "Room kept in the tanks", "t", (0.0, 10000.0), (0.0, 50.0), "What the tanks are not filled with, for stability, trim or draught.", "loading computer, chief officer";
}

section! {
    /// What is used. Litres a head from ISO 15748-1 as a planning figure (from memory); the rest is the ship's own balance.
    Demand, DEMAND,
    litres_person_day: 175.0, "Litres a head and day", "L", (0.0, 2000.0), (120.0, 250.0), "Domestic and drinking water together: 175 with vacuum toilets, 220 with gravity.", "the ship's own balance of thirty days";
    drinking_l_person_day: 10.0, "Of these to drink and cook with", "L", (0.0, 200.0), (5.0, 20.0), "The part that comes from the drinking tank.", "the ship's own balance";
    technical_sea_t_day: 3.15, "Technical water at sea", "t_day", (0.0, 500.0), (0.5, 10.0), "Boiler, separators, cleaning, engine: a day at sea.", "the ship's own balance";
    technical_port_t_day: 1.75, "Technical water in port", "t_day", (0.0, 500.0), (0.5, 10.0), "The same, a day in port.", "the ship's own balance";
}

section! {
    /// Figures that checks of the plant are reckoned with.
    Checks, CHECKS,
    shell_volume_m3: 0.0, "Shell volume, drained", "m3", (0.0, 100.0), (1.0, 6.0), "Inside of evaporator and condenser shell together up to the ejector's valves, without tubes or plates; 0 where it is not told. The leak-down test goes with it. The usual figures are our estimate for plants of 10 to 50 t/day.", "maker's drawing; or measured: fill it with a metered hose when it is opened";
}

section! {
    /// What things cost, in the ship's currency. They decide between plans that all keep the reserve.
    Prices, PRICES,
    start: 40.0, "One start", "", (0.0, 100000.0), (20.0, 100.0), "Hands, dumped water, a thermal cycle.", "our estimate";
    retrim: 5.0, "A change of trim", "", (0.0, 100000.0), (1.0, 20.0), "A walk to the by-pass and a look after it.", "our estimate";
    callout: 150.0, "A call-out", "", (0.0, 100000.0), (50.0, 300.0), "A stop when there are no hands.", "agreement aboard";
    run_h: 2.0, "An hour of running", "", (0.0, 10000.0), (1.0, 5.0), "Pumps: power and the fuel for it.", "fuel price";
    make_t: 0.3, "A tonne made", "", (0.0, 10000.0), (0.1, 1.0), "Antiscalant and the cleaning it puts off.", "stores, log";
    carry_t_day: 0.19, "A tonne carried for a day", "", (0.0, 1000.0), (0.1, 0.3), "Two thirds of the fuel of a day over the displacement.", "noon reports";
    short_t: 200.0, "A tonne missing", "", (0.0, 1000000.0), (100.0, 1000.0), "Dry taps, or a boiler without feed.", "master's order";
    spill_t: 1.0, "A tonne lost", "", (0.0, 10000.0), (0.5, 3.0), "Made and run over the side.", "our estimate";
    end_t: 9.0, "A tonne at the end", "", (0.0, 10000.0), (2.0, 20.0), "What water costs where the plan ends.", "agent";
    fuel_t: 0.0, "A tonne of fuel", "", (0.0, 100000.0), (300.0, 1200.0), "What the main engine burns; 0 where it is not told. It prices another speed.", "last bunker invoice";
    fuel_day_t: 0.0, "Fuel of a day at sea", "t", (0.0, 1000.0), (10.0, 60.0), "Of the main engine at the load at sea above; 0 where it is not told.", "noon reports";
    clean_condenser: 450.0, "One cleaning of the condenser", "", (0.0, 1000000.0), (200.0, 1500.0), "Hands, gaskets, chemicals, with the plant opened.", "stores, log";
    clean_evaporator: 700.0, "One cleaning of the evaporator", "", (0.0, 1000000.0), (300.0, 2500.0), "Acid, gaskets, hands, the dump after it.", "stores, log";
    clean_h: 10.0, "Hours it stands for a cleaning", "h", (0.0, 1000.0), (6.0, 36.0), "Cold, opened, cleaned, tested and started again.", "log";
    rinse_less_t: 30.0, "A tonne less for a hold", "", (0.0, 100000.0), (10.0, 100.0), "What it costs to rinse a hold with less.", "charterer";
}
