//! The readings of the round, one after another.

use super::{Group, Often, Reading, Role};

const fn number(
    key: &'static str,
    label: &'static str,
    place: &'static str,
    unit: &'static str,
    group: Group,
    role: Role,
) -> Reading {
    Reading {
        key,
        label,
        place,
        unit,
        also: &[],
        group,
        role,
        often: Often::Always,
        hard: (0.0, 0.0),
        why: "",
        usual: (0.0, 0.0),
        step: 0.1,
        digits: 1,
        help: "",
    }
}

const WATER_LIQUID: &str = "liquid water under this pressure is neither frozen nor boiling there";
const NEVER_BACK: &str = "a counter starts at zero and has seven figures";
const SHARE: &str = "a position runs from shut (0 %) to full open (100 %)";

/// The readings in the order of the round. Usual ranges: common practice at sea.
pub const READINGS: &[Reading] = &[
    Reading {
        also: &["fraction"],
        hard: (0.0, 120.0),
        why: "an engine gives between nothing and its overload",
        usual: (15.0, 100.0),
        step: 1.0,
        digits: 0,
        help: "Share of the main engine's rated power; it says how much jacket heat there is.",
        ..number(
            "engine_load_percent",
            "Engine load",
            "power meter or fuel index",
            "percent",
            Group::Engine,
            Role::Condition("engine_load"),
        )
    },
    Reading {
        hard: (0.0, 120.0),
        why: WATER_LIQUID,
        usual: (75.0, 92.0),
        step: 0.5,
        help: "Jacket water leaving the engine; it must stay at the engine's set point.",
        ..number(
            "engine_jacket_out_c",
            "Engine jacket outlet",
            "engine, after the last unit",
            "degC",
            Group::Engine,
            Role::Kept,
        )
    },
    Reading {
        also: &["mbar_a", "kPa_a"],
        hard: (870.0, 1085.0),
        why: "no barometer at sea level has read outside 870 to 1 085 hPa",
        usual: (960.0, 1050.0),
        step: 1.0,
        digits: 0,
        help: "A vacuum gauge reads from the day's atmosphere: without the barometer 10 hPa look like 2 K of boiling point.",
        ..number(
            "barometer_hpa",
            "Barometer",
            "bridge or control room",
            "hPa",
            Group::Engine,
            Role::Condition("barometer_hpa"),
        )
    },
    Reading {
        hard: (-1.0, 12.0),
        why: "a gauge cannot read below full vacuum, nor an ejector pump give more",
        usual: (3.3, 4.5),
        step: 0.1,
        help: "Motive water at the nozzle. Under the knee the jet draws neither air nor brine.",
        ..number(
            "ejector_pressure_bar_g",
            "Nozzle inlet",
            "ejector, before the nozzle",
            "bar_g",
            Group::Ejector,
            Role::Condition("ejector_pressure_bar_g"),
        )
    },
    Reading {
        hard: (-1.0, 6.0),
        why: "a gauge cannot read below full vacuum, nor this line hold more",
        usual: (0.2, 0.6),
        step: 0.05,
        digits: 2,
        help: "Behind the ejector. High: overboard valve not full open, or deep draught.",
        ..number(
            "back_pressure_bar_g",
            "Ejector outlet",
            "ejector, overboard line",
            "bar_g",
            Group::Ejector,
            Role::Condition("back_pressure_bar_g"),
        )
    },
    Reading {
        also: &["cmHg_vac", "mmHg_vac", "inHg_vac", "bar_g", "kPa_a", "mbar_a"],
        hard: (-20.0, 100.5),
        why: "a vacuum cannot be more than the whole atmosphere, and the relief lifts above it",
        usual: (85.0, 95.0),
        step: 0.5,
        help: "Shell gauge. Give the barometer too, then it is corrected for the day's atmosphere.",
        ..number(
            "shell_gauge_bar_g",
            "Vacuum",
            "shell gauge",
            "percent_vac",
            Group::Shell,
            Role::Answer("shell_pressure_pa"),
        )
    },
    Reading {
        hard: (0.0, 120.0),
        why: WATER_LIQUID,
        usual: (40.0, 55.0),
        step: 0.5,
        help: "The best vacuum gauge aboard: the boiling pressure follows from it.",
        ..number(
            "vapour_temp_c",
            "Vapour",
            "shell top",
            "degC",
            Group::Shell,
            Role::Answer("vapour_temp_c"),
        )
    },
    Reading {
        hard: (0.0, 120.0),
        why: WATER_LIQUID,
        usual: (60.0, 92.0),
        step: 0.5,
        help: "Jacket water to the evaporator.",
        ..number(
            "jacket_in_c",
            "Jacket water in",
            "evaporator inlet",
            "degC",
            Group::Jacket,
            Role::Condition("jacket_in_c"),
        )
    },
    Reading {
        hard: (0.0, 120.0),
        why: WATER_LIQUID,
        usual: (55.0, 84.0),
        step: 0.5,
        help: "Jacket water back from the evaporator. With the inlet it says how much heat went in.",
        ..number(
            "jacket_out_c",
            "Jacket water out",
            "evaporator outlet",
            "degC",
            Group::Jacket,
            Role::Answer("jacket_out_c"),
        )
    },
    Reading {
        hard: (0.0, 100.0),
        why: SHARE,
        usual: (0.0, 100.0),
        step: 5.0,
        digits: 0,
        help: "By-pass round the heater, 0 % shut. It sets the output; write it down at every change.",
        ..number(
            "bypass_percent",
            "Jacket by-pass",
            "handle or mark",
            "percent",
            Group::Jacket,
            Role::Position("jacket_flow_kg_s"),
        )
    },
    Reading {
        hard: (0.0, 400.0),
        why: "no jacket pump of this size gives more",
        usual: (15.0, 80.0),
        step: 0.5,
        help: "Only where there is a meter in the evaporator leg; else the by-pass position stands for it.",
        often: Often::Daily,
        ..number(
            "jacket_flow_m3_h",
            "Jacket flow",
            "meter, evaporator leg",
            "m3_h",
            Group::Jacket,
            Role::Volume("jacket_flow_kg_s"),
        )
    },
    Reading {
        often: Often::File,
        hard: (0.0, 110.0),
        why: "no jacket pump of this size gives more",
        usual: (4.0, 22.0),
        help: "Jacket water through the heater as a mass flow.",
        ..number(
            "jacket_flow_kg_s",
            "Jacket flow",
            "instrument",
            "kg_s",
            Group::Jacket,
            Role::Condition("jacket_flow_kg_s"),
        )
    },
    Reading {
        hard: (-2.0, 45.0),
        why: "sea water freezes at −2 °C and no sea is warmer than 45 °C",
        usual: (0.0, 34.0),
        step: 0.5,
        help: "Sea water to the condenser.",
        ..number(
            "sea_temp_c",
            "Sea water in",
            "condenser inlet",
            "degC",
            Group::Sea,
            Role::Condition("sea_temp_c"),
        )
    },
    Reading {
        hard: (-2.0, 90.0),
        why: WATER_LIQUID,
        usual: (10.0, 48.0),
        step: 0.5,
        help: "Sea water from the condenser; part of it becomes the feed. Never above 50 °C.",
        ..number(
            "sea_out_c",
            "Sea water out",
            "condenser outlet",
            "degC",
            Group::Sea,
            Role::Answer("sea_out_c"),
        )
    },
    Reading {
        hard: (0.0, 100.0),
        why: SHARE,
        usual: (20.0, 100.0),
        step: 5.0,
        digits: 0,
        help: "Condenser outlet throttle, 100 % full open. Cut in cold sea to keep the vapour above 40 °C.",
        ..number(
            "condenser_throttle_percent",
            "Condenser throttle",
            "handle or mark",
            "percent",
            Group::Sea,
            Role::Position("condenser_flow_kg_s"),
        )
    },
    Reading {
        often: Often::File,
        hard: (0.0, 280.0),
        why: "no cooling pump of this size gives more",
        usual: (4.0, 25.0),
        help: "Sea water through the condenser as a mass flow.",
        ..number(
            "condenser_flow_kg_s",
            "Condenser flow",
            "instrument",
            "kg_s",
            Group::Sea,
            Role::Condition("condenser_flow_kg_s"),
        )
    },
    Reading {
        hard: (-1.0, 10.0),
        why: "a gauge cannot read below full vacuum, nor this line hold more",
        usual: (1.5, 4.5),
        step: 0.1,
        help: "Feed pressure before the orifice, against the maker's mark.",
        ..number(
            "feed_pressure_bar_g",
            "Feed pressure",
            "before the orifice",
            "bar_g",
            Group::Feed,
            Role::Kept,
        )
    },
    Reading {
        often: Often::Daily,
        hard: (0.0, 60.0),
        why: "no feed pump of this size gives more",
        usual: (1.0, 8.0),
        step: 0.1,
        help: "Only where there is a feed meter.",
        ..number(
            "feed_flow_m3_h",
            "Feed flow",
            "feed meter",
            "m3_h",
            Group::Feed,
            Role::Volume("feed_flow_kg_s"),
        )
    },
    Reading {
        often: Often::File,
        hard: (0.0, 17.0),
        why: "no feed pump of this size gives more",
        usual: (0.3, 2.5),
        help: "Feed as a mass flow.",
        ..number(
            "feed_flow_kg_s",
            "Feed flow",
            "instrument",
            "kg_s",
            Group::Feed,
            Role::Condition("feed_flow_kg_s"),
        )
    },
    Reading {
        help: "Level of the boiling brine in the sight glass.",
        ..number(
            "brine_level",
            "Brine level",
            "sight glass",
            "",
            Group::Feed,
            Role::Word(&["steady", "low", "surging", "over the glass"]),
        )
    },
    Reading {
        often: Often::Asked,
        hard: (0.0, 120.0),
        why: WATER_LIQUID,
        usual: (35.0, 60.0),
        step: 0.5,
        help: "Boiling brine, where there is a pocket for it.",
        ..number(
            "brine_temp_c",
            "Brine",
            "brine pocket",
            "degC",
            Group::Feed,
            Role::Answer("brine_temp_c"),
        )
    },
    Reading {
        often: Often::Daily,
        hard: (0.0, 300.0),
        why: "salt crystallises out above that",
        usual: (38.0, 65.0),
        step: 0.5,
        help: "From a vacuum sampling pot only: at the overboard the brine is diluted by motive water.",
        ..number(
            "brine_salinity_g_kg",
            "Brine strength",
            "vacuum sampling pot",
            "g_kg",
            Group::Feed,
            Role::Answer("brine_salinity_g_kg"),
        )
    },
    Reading {
        hard: (0.0, 9_999_999.0),
        why: NEVER_BACK,
        usual: (0.0, 9_999_999.0),
        step: 0.1,
        help: "The counter, not the needle: two readings and the true hours between give the output.",
        ..number(
            "distillate_meter_m3",
            "Distillate meter",
            "counter",
            "m3",
            Group::Distillate,
            Role::Counter,
        )
    },
    Reading {
        also: &["kg_s", "kg_h", "t_h"],
        often: Often::Daily,
        hard: (0.0, 500.0),
        why: "no evaporator of this kind makes more",
        usual: (0.0, 60.0),
        step: 0.1,
        help: "Rate, where it is worked out by hand; else it follows from the counter.",
        ..number(
            "product_t_day",
            "Output",
            "worked out or flow meter",
            "t_day",
            Group::Distillate,
            Role::Answer("product_t_day"),
        )
    },
    Reading {
        also: &["uS_cm"],
        hard: (0.0, 60_000.0),
        why: "sea water itself has less",
        usual: (0.0, 5.0),
        step: 0.1,
        help: "Salinometer after the distillate pump.",
        ..number(
            "product_salt_mg_kg",
            "Salinity",
            "salinometer",
            "mg_kg",
            Group::Distillate,
            Role::Answer("product_salt_mg_kg"),
        )
    },
    Reading {
        often: Often::File,
        hard: (0.0, 20_000.0),
        why: "sea water holds no more than twice as much",
        usual: (0.0, 10.0),
        step: 0.1,
        help: "A hand meter or a titration of a sample from the distillate cock: says whether the salinometer is right.",
        ..number(
            "second_product_salt_mg_kg",
            "Salinity, second instrument",
            "sample from the distillate cock",
            "mg_kg",
            Group::Distillate,
            Role::Kept,
        )
    },
    Reading {
        often: Often::Daily,
        hard: (0.0, 100.0),
        why: WATER_LIQUID,
        usual: (30.0, 55.0),
        step: 0.5,
        help: "Distillate at the pump.",
        ..number(
            "distillate_temp_c",
            "Distillate temperature",
            "distillate line",
            "degC",
            Group::Distillate,
            Role::Kept,
        )
    },
    Reading {
        often: Often::Asked,
        hard: (0.0, 120.0),
        why: WATER_LIQUID,
        usual: (20.0, 50.0),
        step: 0.5,
        help: "Air suction pipe between shell and ejector: tells an air leak from a fouled condenser.",
        ..number(
            "vent_temp_c",
            "Vent pipe",
            "air suction to the ejector",
            "degC",
            Group::Shell,
            Role::Answer("vent_temp_c"),
        )
    },
    Reading {
        often: Often::File,
        hard: (0.0, 1200.0),
        why: "no atmosphere is more",
        usual: (50.0, 200.0),
        help: "An absolute gauge on a spare cock: free of the barometer.",
        ..number(
            "shell_absolute_mbar",
            "Shell by absolute gauge",
            "spare cock on the shell",
            "mbar_a",
            Group::Shell,
            Role::Kept,
        )
    },
    Reading {
        often: Often::File,
        hard: (0.001, 1000.0),
        why: "a shell that takes in more holds no vacuum at all",
        usual: (0.1, 20.0),
        digits: 2,
        help: "Leak-down test: plant stopped, cold and drained, valves shut; the rise in mbar a minute times the shell's volume says kg/h.",
        ..number(
            "leak_down_kg_h",
            "Air leak by leak-down",
            "pressure rise of the shut shell",
            "kg_h",
            Group::Shell,
            Role::Kept,
        )
    },
    Reading {
        often: Often::File,
        hard: (-2.0, 120.0),
        why: WATER_LIQUID,
        usual: (0.0, 95.0),
        help: "A good thermometer held in the same pocket, beside the one that is doubted.",
        ..number(
            "second_vapour_temp_c",
            "Vapour, second thermometer",
            "shell top",
            "degC",
            Group::Shell,
            Role::Kept,
        )
    },
    Reading {
        often: Often::File,
        hard: (-2.0, 120.0),
        why: WATER_LIQUID,
        usual: (0.0, 95.0),
        help: "A good thermometer held in the same pocket, beside the one that is doubted.",
        ..number(
            "second_jacket_in_c",
            "Jacket water in, second thermometer",
            "evaporator inlet",
            "degC",
            Group::Jacket,
            Role::Kept,
        )
    },
    Reading {
        often: Often::File,
        hard: (-2.0, 120.0),
        why: WATER_LIQUID,
        usual: (0.0, 95.0),
        help: "A good thermometer held in the same pocket, beside the one that is doubted.",
        ..number(
            "second_jacket_out_c",
            "Jacket water out, second thermometer",
            "evaporator outlet",
            "degC",
            Group::Jacket,
            Role::Kept,
        )
    },
    Reading {
        often: Often::File,
        hard: (-2.0, 120.0),
        why: WATER_LIQUID,
        usual: (0.0, 95.0),
        help: "A good thermometer held in the same pocket, beside the one that is doubted.",
        ..number(
            "second_sea_temp_c",
            "Sea water in, second thermometer",
            "condenser inlet",
            "degC",
            Group::Sea,
            Role::Kept,
        )
    },
    Reading {
        often: Often::File,
        hard: (-2.0, 120.0),
        why: WATER_LIQUID,
        usual: (0.0, 95.0),
        help: "A good thermometer held in the same pocket, beside the one that is doubted.",
        ..number(
            "second_sea_out_c",
            "Sea water out, second thermometer",
            "condenser outlet",
            "degC",
            Group::Sea,
            Role::Kept,
        )
    },
    Reading {
        often: Often::File,
        hard: (0.01, 500.0),
        why: "no plant of this kind makes more",
        usual: (1.0, 60.0),
        help: "Output by dipping the tank before and after some hours in a calm.",
        ..number(
            "product_dip_t_day",
            "Output by dipping the tank",
            "tank, two dips some hours apart",
            "t_day",
            Group::Distillate,
            Role::Kept,
        )
    },
    Reading {
        hard: (0.0, 1000.0),
        why: "no doser of this size gives more",
        usual: (0.0, 10.0),
        step: 0.1,
        help: "Antiscalant used since yesterday.",
        often: Often::Daily,
        ..number(
            "antiscalant_l_day",
            "Antiscalant used",
            "dosing tank",
            "L_day",
            Group::Dosing,
            Role::Kept,
        )
    },
    Reading {
        hard: (0.0, 1000.0),
        why: "no doser of this size gives more",
        usual: (0.0, 10.0),
        step: 0.1,
        help: "Chlorine solution used since yesterday.",
        often: Often::Daily,
        ..number(
            "chlorine_l_day",
            "Chlorine used",
            "dosing tank",
            "L_day",
            Group::Dosing,
            Role::Kept,
        )
    },
    Reading {
        hard: (-50.0, 500.0),
        why: "the glass of an expansion tank is not longer",
        usual: (10.0, 200.0),
        step: 1.0,
        digits: 0,
        help: "Engine's expansion tank. A new fall can be the heater leaking treated water into the brine: nitrite test.",
        ..number(
            "expansion_tank_cm",
            "Expansion tank",
            "level glass",
            "cm",
            Group::Dosing,
            Role::Kept,
        )
    },
    Reading {
        often: Often::File,
        hard: (-2.0, 120.0),
        why: WATER_LIQUID,
        usual: (10.0, 60.0),
        step: 0.5,
        help: "Acid, soda or rinse water going round in a cleaning. Sulphamic acid never over 60 °C.",
        ..number(
            "cleaning_temp_c",
            "Cleaning liquid",
            "cleaning tank or return hose",
            "degC",
            Group::Dosing,
            Role::Kept,
        )
    },
    Reading {
        often: Often::File,
        hard: (0.0, 14.0),
        why: "pH runs from 0 to 14",
        usual: (0.5, 9.0),
        help: "Acid, soda or rinse water going round in a cleaning: strip or meter, at the return.",
        ..number(
            "cleaning_ph",
            "Cleaning liquid, pH",
            "return hose",
            "one",
            Group::Dosing,
            Role::Kept,
        )
    },
    Reading {
        often: Often::File,
        hard: (0.0, 14.0),
        why: "pH runs from 0 to 14",
        usual: (5.0, 9.0),
        help: "Strip or meter, after two minutes at the cock.",
        ..number("sample_ph", "Distillate, pH", "sample cock", "one", Group::Distillate, Role::Kept)
    },
    Reading {
        often: Often::File,
        hard: (0.0, 500.0),
        why: "no tank is dosed with more",
        usual: (0.0, 100.0),
        digits: 2,
        help: "Free chlorine by strip or comparator, from the tank, tap or hose that the work is about.",
        ..number(
            "residual_mg_l",
            "Free chlorine",
            "tap or tank, strip or comparator",
            "mg_L",
            Group::Dosing,
            Role::Kept,
        )
    },
    Reading {
        help: "A good excuse for a poor reading.",
        ..number(
            "sea_state",
            "Sea and roll",
            "by eye",
            "",
            Group::Around,
            Role::Word(&["calm", "slight", "moderate", "rough", "rolling heavily"]),
        )
    },
];
