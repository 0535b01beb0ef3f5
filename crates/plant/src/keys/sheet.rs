//! Keys of the plant sheet: nameplate, manual or sea trial; and the closures' constants.

use super::{Key, Kind, Part};

const fn rated(
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
        part: Part::Sheet,
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
    rated("rated_product_t_day", "t_day", "D0", (0.1, 500.0), (5.0, 60.0), [
        "Rated output", "Net distillate at the rated point.",
        "maker's manual, nameplate", "single-effect plants aboard make between a fraction of a tonne and some hundreds of tonnes a day"]),
    rated("rated_jacket_in_c", "degC", "T_j1,0", (40.0, 120.0), (75.0, 92.0), [
        "Rated jacket water in", "Jacket water at the evaporator inlet at the rated point.",
        "maker's manual, sea trial", "water and steam properties are used between 0 and 120 °C and a plant needs some 10 K over the vapour"]),
    rated("rated_jacket_flow_kg_s", "kg_s", "m_j0", (0.05, 1000.0), (5.0, 40.0), [
        "Rated jacket flow", "Jacket water through the evaporator at the rated point, by-pass shut.",
        "maker's manual, sea trial (m³/h × density / 3600)", "no flow, no heat; no plant of this kind takes more"]),
    rated("rated_sea_temp_c", "degC", "T_s0", (-2.0, 45.0), (25.0, 32.0), [
        "Rated sea temperature", "Sea water at the condenser inlet at the rated point.",
        "maker's manual", "sea water freezes near −2 °C and no sea is warmer than 45 °C"]),
    rated("rated_sea_salinity_g_kg", "g_kg", "S_s0", (1.0, 80.0), (30.0, 40.0), [
        "Rated sea salinity", "Salt in the sea water at the rated point, absolute salinity.",
        "maker's manual; 35.165 if it says 35", "seas and closed bays hold up to 80 g/kg; fresh water leaves nothing to calibrate the carry-over on"]),
    rated("rated_condenser_flow_kg_s", "kg_s", "m_c0", (0.05, 2000.0), (8.0, 60.0), [
        "Rated condenser flow", "Sea water through the condenser at the rated point.",
        "maker's manual, pump curve", "no cooling, no vacuum; no plant of this kind takes more"]),
    rated("rated_feed_ratio", "", "φ0", (1.05, 50.0), (2.5, 4.5), [
        "Rated feed ratio", "Feed over rated net distillate; an orifice sets it.",
        "maker's manual, orifice plate", "feed must exceed what boils off; above 50 the heat goes into warming feed"]),
    rated("rated_vapour_temp_c", "degC", "T_v0", (20.0, 95.0), (40.0, 55.0), [
        "Rated evaporating temperature", "Saturation temperature of the vapour at the rated point.",
        "maker's manual; from the rated vacuum by steam table", "below 20 °C no sea cools it, above 95 °C it is no vacuum plant"]),
    rated("rated_product_salt_mg_kg", "mg_kg", "S_d0", (0.001, 1000.0), (1.0, 10.0), [
        "Rated product salt", "Salt in the distillate at the rated point, condenser sound.",
        "maker's manual, sea trial", "every demister lets some mist through; above 1000 mg/kg it is no distillate"]),
    rated("rated_ejector_pressure_bar_g", "bar_g", "p_m0", (0.2, 20.0), (3.0, 5.0), [
        "Rated ejector pressure", "Motive water before the nozzle at the rated point.",
        "maker's manual, gauge plate", "a nozzle needs some pressure; ejector pumps do not reach 20 bar"]),
    rated("rated_back_pressure_bar_g", "bar_g", "p_b0", (-0.9, 5.0), (0.2, 0.8), [
        "Rated back pressure", "After the ejector, overboard line, at the rated point.",
        "maker's manual, outlet gauge", "under −0.9 bar the outlet would boil; over 5 bar no jet of this kind works"]),
    rated("rated_gas_capacity_m3_s", "m3_s", "V0", (1.0e-5, 10.0), (0.008, 0.05), [
        "Ejector gas capacity", "Volume of gas and vapour the ejector draws at the rated point.",
        "maker's ejector curve; estimate if there is none", "without capacity no air leaves the shell"]),
    rated("rated_air_leak_kg_h", "kg_h", "m_l0", (0.0, 500.0), (0.3, 3.0), [
        "Rated air leak", "Air leaking into the sound shell.",
        "leak-down test after overhaul", "a leak cannot be negative; 500 kg/h is an open valve"]),
    rated("brine_capacity_kg_s", "kg_s", "m_bmax0", (1.0e-3, 1000.0), (0.5, 5.0), [
        "Brine removal capacity", "Brine the ejector can lift at the rated point.",
        "maker's ejector curve", "brine that cannot be lifted fills the shell"]),
    rated("separation_area_m2", "m2", "A_sep", (1.0e-3, 200.0), (0.3, 3.0), [
        "Separation area", "Area of the demister across the vapour.",
        "drawing", "vapour must pass somewhere"]),
    rated("demister_drop", "", "k_d", (0.0, 1.0e5), (50.0, 300.0), [
        "Demister drop", "Pressure lost through the demister, in velocity heads.",
        "maker's manual; 115 for one wire mesh pad", "a drop cannot be negative"]),
    rated("static_head_k", "K", "ΔT_h", (0.0, 20.0), (0.2, 1.5), [
        "Hydrostatic allowance", "How much hotter the brine boils for the depth it stands over the surface.",
        "estimate from the level glass", "depth can only raise boiling; 20 K would be 3 m of brine at this vacuum"]),
    rated("heat_loss_w_k", "W_K", "UA_l", (0.0, 10_000.0), (10.0, 200.0), [
        "Heat loss", "Heat the shell loses to the room for each kelvin.",
        "estimate: 5 to 10 W/K for each m² of lagged shell", "a hot shell loses heat, never gains it"]),
    rated("evaporator_area_m2", "m2", "A_e", (0.01, 5000.0), (3.0, 60.0), [
        "Evaporator area", "Heated area, jacket side.",
        "maker's manual, plates × plate area", "no area, no heat"]),
    rated("condenser_area_m2", "m2", "A_c", (0.01, 5000.0), (6.0, 120.0), [
        "Condenser area", "Cooled area, sea side.",
        "maker's manual, plates × plate area", "no area, no condensing"]),
    Key { kind: Kind::Shares, hard: (0.0, 1.0), ..rated("evaporator_split", "", "", (0.0, 1.0), (0.05, 0.6), [
        "Evaporator resistance split", "Shares of jacket film, wall and boiling film in the clean rated resistance; they sum to one.",
        "leave as it is unless the maker gives the films", "each share is part of one whole, and a film is never without resistance"]) },
    Key { kind: Kind::Shares, hard: (0.0, 1.0), ..rated("condenser_split", "", "", (0.0, 1.0), (0.05, 0.6), [
        "Condenser resistance split", "Shares of sea-water film, wall and condensing film in the clean rated resistance; they sum to one.",
        "leave as it is unless the maker gives the films", "each share is part of one whole, and a film is never without resistance"]) },
    rated("convective_share", "", "f_cb", (0.0, 0.999), (0.1, 0.5), [
        "Convective share of boiling", "Part of the rated boiling film that is there without bubbles.",
        "leave as it is; fitted to the log", "without it an evaporator that makes nothing would be a second answer"]),
    rated("blanketing_exponent", "", "n", (0.2, 20.0), (1.0, 4.0), [
        "Blanketing exponent", "How gas gathers in the condenser: 1 mixed through it, large gathered at the vent.",
        "leave as it is; fitted to the log", "outside this the condenser would be all gas or none"]),
    rated("flooding_velocity_m_s", "m_s", "K_f", (0.01, 2.0), (0.08, 0.15), [
        "Demister flooding velocity", "Load factor at which the mesh floods (Souders-Brown).",
        "maker of the mesh; 0.107 m/s is usual", "meshes flood between a few cm/s and some m/s"]),
    rated("mist_floor", "", "f_d", (0.0, 1.0), (0.05, 0.4), [
        "Mist no mesh stops", "Part of the rated carry-over that stays at low load.",
        "leave as it is", "a share lies between nought and one"]),
    rated("stall_ratio", "", "N_s", (0.02, 2.0), (0.2, 0.6), [
        "Ejector stall ratio", "Lift over drive of the jet at which it stalls.",
        "leave as it is; fitted to the log", "a jet lifts some fraction of what drives it"]),
    Key { kind: Kind::Optional, ..rated("rated_motive_temp_c", "degC", "T_m0", (-2.0, 80.0), (25.0, 45.0), [
        "Rated motive water temperature", "Ejector water at the rated point; the sea's when left out.",
        "manual, where condenser water drives the ejector", "motive water is sea water, not boiling"]) },
    rated("alkalinity_mmol_kg", "mmol_kg", "A_T", (0.0, 20.0), (2.0, 2.6), [
        "Alkalinity of the sea", "What carbon dioxide comes from when the feed is heated.",
        "leave as it is; 2.3 is open ocean", "seas hold up to a few mmol/kg"]),
    rated("co2_release", "", "f_CO2", (0.0, 1.0), (0.2, 0.9), [
        "Carbon dioxide released", "Part of the bicarbonate that gives off its gas.",
        "leave as it is", "a share lies between nought and one"]),
    Key { kind: Kind::Word(&["condenser", "sea"]), ..rated("feed_from", "", "", (0.0, 1.0), (0.0, 1.0), [
        "Feed taken from", "Feed is taken from the condenser outlet, or straight from the sea.",
        "piping diagram", "feed is taken from one of these two"]) },
    Key { kind: Kind::Table, ..rated("jacket_heat_table", "kW", "Q_jw", (0.0, 100_000.0), (100.0, 5000.0), [
        "Jacket heat by load", "Heat the jacket water gives at each engine load.",
        "engine shop test or sea trial", "heat cannot be negative, and loads must rise from row to row"]) },
    rated("jacket_heat_reserve_kw", "kW", "", (0.0, 100_000.0), (0.0, 200.0), [
        "Heat kept for the engine", "Jacket heat the plant leaves alone, so that the thermostat keeps control.",
        "engine maker; 50 kW if nothing is said", "a reserve cannot be negative"]),
    rated("jacket_low_limit_c", "degC", "", (0.0, 120.0), (60.0, 80.0), [
        "Jacket low limit", "Jacket water is not to fall under this.",
        "engine maker's low-temperature alarm", "jacket water is between ice and steam"]),
    rated("product_max_t_day", "t_day", "P_max", (0.01, 1000.0), (5.0, 70.0), [
        "Maker's maximum output", "The plant is never run above this.",
        "maker's manual", "a plant that may make nothing needs no model"]),
    rated("vapour_temp_min_c", "degC", "T_v,min", (0.0, 90.0), (35.0, 45.0), [
        "Shell not under", "Vapour is kept at or above this by cutting sea water or bleeding air.",
        "maker's manual; 40 °C is common", "steam properties start at 0 °C, and above 90 °C it is no vacuum plant"]),
    rated("sea_out_max_c", "degC", "", (5.0, 95.0), (45.0, 50.0), [
        "Sea outlet not over", "The condenser's sea water is not let out hotter than this.",
        "engineer's practice: 50 °C, above it scale forms", "sea water that boils is no coolant"]),
    Key { kind: Kind::Word(&["throttle", "bleed", "none"]), ..rated("cold_trim", "", "", (0.0, 1.0), (0.0, 1.0), [
        "Cold-sea trim", "What keeps the shell warm in cold sea: sea-water throttle, air bleed, or nothing.",
        "piping diagram: one pump for condenser and ejector allows neither", "these are the means there are"]) },
];
