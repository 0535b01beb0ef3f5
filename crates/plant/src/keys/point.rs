//! Keys of the operating point: what the plant works under.

use super::{Key, Kind, Part};

const fn at(
    key: &'static str,
    unit: &'static str,
    symbol: &'static str,
    hard: (f64, f64),
    typical: (f64, f64),
    words: [&'static str; 4],
) -> Key {
    let [label, meaning, place, why] = words;
    Key {
        key,
        part: Part::Point,
        kind: Kind::Number,
        unit,
        symbol,
        hard,
        typical,
        label,
        meaning,
        place,
        why,
    }
}

#[rustfmt::skip]
pub(super) const KEYS: &[Key] = &[
    at("sea_temp_c", "degC", "T_s", (-2.0, 45.0), (5.0, 32.0), [
        "Sea water in", "Sea water at the condenser inlet.",
        "thermometer, condenser inlet", "sea water freezes near −2 °C and no sea is warmer than 45 °C"]),
    at("sea_salinity_g_kg", "g_kg", "S_s", (0.0, 80.0), (30.0, 40.0), [
        "Sea salinity", "Salt in the sea water, absolute salinity.",
        "chart or hydrometer; 35 offshore", "seas and closed bays hold up to 80 g/kg"]),
    at("jacket_in_c", "degC", "T_j1", (-2.0, 120.0), (70.0, 92.0), [
        "Jacket water in", "Jacket water at the evaporator inlet.",
        "thermometer, evaporator inlet", "water and steam properties are used up to 120 °C"]),
    at("jacket_flow_kg_s", "kg_s", "m_j", (0.0, 1000.0), (5.0, 40.0), [
        "Jacket flow", "Jacket water through the evaporator.",
        "meter, or by-pass position", "no plant of this kind takes more"]),
    at("condenser_flow_kg_s", "kg_s", "m_c", (0.0, 2000.0), (8.0, 60.0), [
        "Condenser flow", "Sea water through the condenser.",
        "meter, or throttle position", "no plant of this kind takes more"]),
    Key { kind: Kind::Optional, ..at("feed_ratio", "", "φ", (0.0, 50.0), (2.5, 4.5), [
        "Feed ratio", "Feed over rated net distillate; the sheet's when left out and no feed flow is given.",
        "feed pressure against the orifice mark", "above 50 the heat goes into warming feed"]) },
    Key { kind: Kind::Optional, ..at("feed_flow_kg_s", "kg_s", "m_f", (0.0, 1000.0), (0.5, 5.0), [
        "Feed flow", "Feed as a mass flow; goes before the feed ratio.",
        "feed meter", "no plant of this kind takes more"]) },
    at("ejector_pressure_bar_g", "bar_g", "p_m", (-0.8, 20.0), (3.0, 5.0), [
        "Ejector pressure", "Motive water before the nozzle.",
        "gauge, ejector inlet", "a gauge cannot read under full vacuum; ejector pumps do not reach 20 bar"]),
    at("back_pressure_bar_g", "bar_g", "p_b", (-0.8, 10.0), (0.2, 0.8), [
        "Back pressure", "After the ejector, overboard line.",
        "gauge, ejector outlet", "a gauge cannot read under full vacuum"]),
    at("air_leak_kg_h", "kg_h", "m_l", (0.0, 1000.0), (0.3, 10.0), [
        "Air leak", "Air leaking into the shell.",
        "leak-down test", "a leak cannot be negative; 1000 kg/h is an open valve"]),
    at("air_bleed_kg_h", "kg_h", "", (0.0, 1000.0), (0.0, 20.0), [
        "Air bled in", "Air let in on purpose to keep the shell warm.",
        "bleed valve mark", "a bleed cannot be negative"]),
    at("scale_m2k_w", "m2K_W", "R_e", (0.0, 0.05), (0.0, 3.0e-4), [
        "Scale on the evaporator", "Resistance of the scale, heated side.",
        "estimated from the log", "a deposit cannot be negative; 0.05 m²K/W is several centimetres of scale"]),
    at("condenser_fouling_m2k_w", "m2K_W", "R_c", (0.0, 0.05), (0.0, 3.0e-4), [
        "Condenser fouling", "Resistance of the deposit, sea side.",
        "estimated from the log", "a deposit cannot be negative; 0.05 m²K/W is a blocked condenser"]),
    at("condenser_leak_kg_h", "kg_h", "m_leak", (0.0, 5000.0), (0.0, 5.0), [
        "Condenser leak", "Sea water leaking into the distillate.",
        "pressure test of the condenser", "a leak cannot be negative"]),
    Key { kind: Kind::Optional, ..at("room_temp_c", "degC", "T_room", (-40.0, 80.0), (25.0, 45.0), [
        "Room temperature", "Air around the shell; 40 °C when left out.",
        "thermometer, engine room", "no engine room is colder or hotter"]) },
    Key { kind: Kind::Optional, ..at("motive_temp_c", "degC", "T_m", (-2.0, 90.0), (5.0, 45.0), [
        "Motive water temperature", "Ejector water; moves with the sea from the rated value when left out.",
        "thermometer, ejector pump", "motive water is liquid water"]) },
    at("ejector_factor", "", "ζ_e", (0.0, 2.0), (0.6, 1.0), [
        "Ejector factor", "What is left of the jet: 1 for a new nozzle.",
        "nozzle bore, blind-off test", "a nozzle does not double its drive by wearing"]),
    at("demister_factor", "", "ζ_d", (0.0, 10_000.0), (0.5, 5.0), [
        "Carry-over factor", "Carry-over against a sound demister: 1 for a sound one.",
        "inspection of the mesh", "carry-over cannot be negative"]),
    Key { kind: Kind::Optional, ..at("engine_load", "percent", "", (0.0, 200.0), (25.0, 100.0), [
        "Engine load", "Main engine load; given, the plant takes no more heat than the engine can spare.",
        "engine control room", "no engine runs above twice its rating"]) },
    Key { kind: Kind::Word(&["bypass", "sag"]), ..at("heat_short", "", "", (0.0, 1.0), (0.0, 1.0), [
        "When heat is short", "The by-pass is opened (what is advised), or the jacket temperature is let sag (a warning).",
        "choice", "these are the two things that can happen"]) },
    at("barometer_hpa", "hPa", "p_atm", (850.0, 1100.0), (980.0, 1040.0), [
        "Barometer", "The day's atmosphere, from which vacuum and gauges read.",
        "barometer, bridge", "lowest and highest ever at sea level are 870 and 1085 hPa"]),
    Key { kind: Kind::Flag, ..at("trimmed", "", "", (0.0, 1.0), (0.0, 1.0), [
        "Run to limits", "Hold the maker's maximum and keep the shell warm, as is done aboard.",
        "choice", "yes or no"]) },
];
