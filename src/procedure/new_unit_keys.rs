//! The keys of a unit file in the order in which they are asked: one place that says what is asked, why, and where to
//! find it.

use super::new_file_question::{NONE, Value, Wants};
use super::new_file_walk::{ANY, Key, Walk};
use crate::quantity::Dimension;
use crate::workshop::new_text::FileValue;

const SIDES: [&str; 2] = ["left", "right"];
const BY_LIST: &str = "maker's parts list, or measured on a new one";

/// Walks along everything that a unit file needs; stops at the first question that is open. What is usual is *common
/// practice, no source*.
#[rustfmt::skip] // a line a key
pub(super) fn walk(w: &mut Walk<'_>) -> Option<()> {
    w.stage = "Identity";
    let top = |key| Key("", key, "");
    w.text(top("id"), ["A short name for the records: small letters, digits and dashes.", "moor-rear"], false)?;
    w.text(top("name"), ["What do people call the unit?", "Moor rear"], false)?;
    w.text(top("car"), ["Which car is it usually in?", "Moor, hillclimb"], true)?;
    let layout = w.word(top("layout"), &[("through", "one depth spans both packs, the rings float between them"), ("per-side", "each pack has a depth of its own")], ["How is the depth of the case counted?", ""])?;
    w.text(top("drawer"), ["The file with your shims and spare plates; it lies beside this one.", "drawer.toml"], true)?;
    w.text(top("instruments"), ["The file with your instruments; it lies beside this one.", "instruments.toml"], true)?;
    w.stage = "Case and rings";
    let depth = ["Depth of the case that the parts must fill.", "67.10"];
    let wide = [10.0, 250.0];
    if layout == "per-side" {
        w.length(Key("case", "depth_left", ""), wide, depth)?;
        w.length(Key("case", "depth_right", ""), wide, depth)?;
    } else {
        w.length(Key("case", "depth", ""), wide, depth)?;
    }
    w.word(Key("case", "cover", ""), &[("right", "the right pack lies under the cover"), ("left", "the left pack lies under the cover"), ("both", "each pack has an opening of its own")], ["On which side does the case open?", "what lies under the cover comes out first and goes in last, from the ring outwards"])?;
    if w.yes(Key("case", "metal_known", ""), ["Is it known what the case is made of?", "aluminium opens more than the steel in it as it gets warm; then gap or preload are told warm, too", ""])? {
        w.word(Key("case", "metal", ""), &[("aluminium", "an aluminium alloy"), ("iron", "grey or ductile iron"), ("steel", "steel")], ["What is the case made of?", ""])?;
    }
    for side in SIDES {
        w.length(Key("rings", side, ""), [3.0, 40.0], ["Height of this pressure ring.", "11.00"])?;
    }
    ramps(w)?;
    friction(w)?;
    let sprung = springs(w, &layout)?;
    wanted(w, sprung)?;
    plates(w)?;
    bolts(w)?;
    offer(w, sprung)?;
    w.stage = "Oil";
    if w.yes(Key("oil", "known", ""), ["Is it laid down which oil it runs in?", "oil and modifier change the friction of the faces", ""])? {
        w.text(Key("oil", "kind", ""), ["Which oil, with friction modifier or without?", "75W-140 with friction modifier"], false)?;
        w.quantity(Key("oil", "amount", ""), Dimension::Volume, [0.2, 5.0], ["How much of it?", "1.1"], false)?;
    }
    w.stage = "Gears";
    let key = |key| Key("gears", key, "");
    if w.yes(key("known"), ["Shall end float, backlash and thrust washers of the gears be measured?", "play is read as received and at the dry build, washers with the micrometer", ""])? {
        let play = |w: &mut Walk<'_>, name, words| w.quantity(key(name), Dimension::Length, [0.0, 1.0], [words, "0.10"], true);
        play(w, "end_float_least", "Least end float of a side gear.")?;
        play(w, "end_float_most", "Most end float of a side gear.")?;
        play(w, "backlash_least", "Least backlash between side gear and pinion.")?;
        play(w, "backlash_most", "Most backlash between side gear and pinion.")?;
        w.count(key("washers"), ["How many thrust washers are there?", "6"], true)?;
        w.quantity(key("washer_least"), Dimension::Length, [0.3, 5.0], ["Least thickness of a used one.", "0.95"], true)?;
    }
    Some(())
}

#[rustfmt::skip] // a line a key
fn ramps(w: &mut Walk<'_>) -> Option<()> {
    w.stage = "Ramps";
    let key = |key| Key("ramp", key, "");
    let angle = |w: &mut Walk<'_>, name, words| {
        w.quantity(key(name), Dimension::RampAngle, ANY, [words, "60 deg from ring face, 30 deg from shaft axis, no ramp"], false)
    };
    angle(w, "drive", "The ramp that works on drive.")?;
    angle(w, "coast", "The ramp that works on coast; no ramp for a one-way unit.")?;
    let rubs = [0.02, 0.2];
    w.quantity(key("friction"), Dimension::Ratio, rubs, ["Friction between pin and ramp.", "0.06"], false)?;
    w.length(key("pin_radius"), [10.0, 80.0], ["Radius at which the pins push on the ramps.", "31"])?;
    let part = |key| Key("ramp.gear", key, "");
    if w.yes(part("known"), ["Are the side gears' figures known, so that their thrust is reckoned with?", "bevel side gears push on the packs too", ""])? {
        w.length(part("radius"), [10.0, 80.0], ["Pitch radius of the side gear.", "28"])?;
        w.quantity(part("pressure_angle"), Dimension::Angle, [10.0, 35.0], ["Pressure angle of the side gear's teeth.", "22.5"], false)?;
        w.quantity(part("pitch_angle"), Dimension::Angle, [20.0, 80.0], ["Pitch angle of the side gear.", "60"], false)?;
    }
    let part = |key| Key("ramp.tabs", key, "");
    if w.yes(part("known"), ["Shall the friction of the rings' tabs in the case be reckoned with?", "tabs that rub take some of the spreading force", ""])? {
        w.length(part("radius"), [10.0, 120.0], ["Radius of the tabs.", "52"])?;
        w.quantity(part("friction"), Dimension::Ratio, [0.02, 0.3], ["Friction of the tabs in their slots.", "0.1"], false)?;
    }
    Some(())
}

#[rustfmt::skip] // a line a key
fn friction(w: &mut Walk<'_>) -> Option<()> {
    w.stage = "Friction faces";
    let key = |key| Key("friction", key, "");
    let usual = [0.04, 0.25];
    w.quantity(key("still"), Dimension::Ratio, usual, ["Friction of the faces at first movement.", "0.12"], false)?;
    w.quantity(key("turning"), Dimension::Ratio, usual, ["Friction of the faces while they turn slowly.", "0.10"], false)?;
    w.word(key("pressure"), &[("run-in", "worn to an even wear, as used plates are"), ("even", "the same pressure all over, as new plates")], ["How does the pressure spread over the faces?", ""])?;
    w.length(key("outside"), [40.0, 250.0], ["Outer diameter of the rubbing face.", "98"])?;
    w.length(key("inside"), [20.0, 200.0], ["Inner diameter of the rubbing face.", "62"])?;
    w.quantity(key("doubt"), Dimension::Ratio, [0.001, 0.1], ["Standard uncertainty of the friction while turning.", "0.01"], true)?;
    if w.yes(key("wall_rubs"), ["Does a plate rub on the case wall itself?", "then the wall counts as a face", ""])? {
        w.write(key("wall_is_face"), FileValue::Bare("true".to_string()));
    }
    Some(())
}

#[rustfmt::skip] // a line a key
fn springs(w: &mut Walk<'_>, layout: &str) -> Option<bool> {
    w.stage = "Preload springs";
    let key = |key| Key("spring", key, "");
    let sprung = w.yes(key("fitted"), ["Is the unit pressed by preload springs?", "without springs it is set to a gap", ""])?;
    if !sprung {
        return Some(false);
    }
    let disc = w.word(key("kind"), &[("disc", "disc springs"), ("coil", "coil springs side by side")], ["What kind of spring?", ""])? == "disc";
    if layout == "per-side" {
        w.word(key("place"), &[("behind the pack", "each pack has its own")], ["Where does it sit?", ""])?;
    } else {
        w.word(key("place"), &[("behind the pack", "between case wall and plates, one on each side"), ("between the rings", "one set for both packs")], ["Where does it sit?", ""])?;
    }
    let thin = [0.3, 10.0];
    if disc {
        w.length(key("outside"), [20.0, 250.0], ["Outer diameter of the disc.", "92"])?;
        w.length(key("inside"), [10.0, 200.0], ["Inner diameter of the disc.", "64"])?;
        w.length(key("thickness"), thin, ["Thickness of one disc.", "1.75"])?;
        w.length(key("height"), [0.5, 20.0], ["Free height of one new disc.", "3.10"])?;
        w.quantity(key("reduced"), Dimension::Length, thin, ["Reduced thickness, for a disc with contact flats.", "1.65"], true)?;
        w.count(key("parallel"), ["How many discs lie the same way round in one packet?", "1"], true)?;
        w.count(key("series"), ["How many packets lie one against the next?", "1"], true)?;
    } else {
        w.length(key("free"), [5.0, 100.0], ["Free height of one new spring.", "32.0"])?;
        w.length(key("solid"), [3.0, 80.0], ["Height at which its turns touch.", "20.0"])?;
        w.quantity(key("rate"), Dimension::SpringRate, [1.0, 500.0], ["Rate of one spring.", "25"], false)?;
        w.count(key("count"), ["How many of them side by side?", "8"], false)?;
    }
    w.quantity(key("least_height"), Dimension::Length, [0.5, 100.0], ["Least free height of a used spring, all its discs together.", "3.00"], true)?;
    Some(true)
}

#[rustfmt::skip] // a line a key
fn wanted(w: &mut Walk<'_>, sprung: bool) -> Option<()> {
    w.stage = "What is wanted";
    let key = |key| Key("wanted", key, "");
    if sprung {
        let usual = [50.0, 10_000.0];
        for (name, words, example) in [
            ("preload_least", "Least spring force on each pack.", "1000"),
            ("preload_target", "Spring force on each pack to aim at.", "1150"),
            ("preload_most", "Most spring force on each pack.", "1300"),
        ] {
            w.quantity(key(name), Dimension::Force, usual, [words, example], false)?;
        }
    } else {
        let usual = [0.0, 2.0];
        for (name, words, example) in [
            ("gap_least", "Least gap in each pack.", "0.15"),
            ("gap_target", "Gap to aim at.", "0.20"),
            ("gap_most", "Most gap in each pack.", "0.30"),
        ] {
            w.length(key(name), usual, [words, example])?;
        }
    }
    let usual = [0.0, 400.0];
    w.quantity(key("breakaway_least"), Dimension::Torque, usual, ["Least breakaway torque while turning.", "75"], false)?;
    w.quantity(key("breakaway_most"), Dimension::Torque, usual, ["Most breakaway torque while turning.", "115"], false)?;
    w.word(key("held"), &[("output", "one output held, the other turned, case free: the surer way"), ("case", "case held, one output turned, the other free: the ramps work, too")], ["How is the unit held for that figure? The two differ by a factor of two or more.", ""])?;
    w.length(key("sides_match"), [0.0, 0.5], ["How much may the two sides differ?", "0.15"])?;
    w.count(key("shims_a_side"), ["How many shims may lie on one side?", "3"], false)?;
    w.quantity(key("curve_to"), Dimension::Torque, [50.0, 5_000.0], ["Up to which torque at the case is the lock curve drawn?", "800"], false)?;
    w.stage = "Limits of used parts";
    let key = |key| Key("limits", key, "");
    let thick = [0.8, 6.0];
    w.length(key("gear_least"), thick, ["Least thickness of a plate keyed to the side gear.", "1.90"])?;
    w.length(key("case_least"), thick, ["Least thickness of a plate keyed to the case.", "1.92"])?;
    w.length(key("spread"), [0.005, 0.2], ["Most difference between readings on one plate.", "0.03"])?;
    w.length(key("flatness"), [0.01, 0.5], ["Most that a plate may be out of flat.", "0.05"])?;
    w.quantity(key("confidence"), Dimension::Ratio, [0.8, 0.999], ["How sure must a verdict be, as a probability?", "0.95"], true)
}

#[rustfmt::skip] // a line a key
fn plates(w: &mut Walk<'_>) -> Option<()> {
    w.stage = "Plates";
    let thick = [0.8, 6.0];
    for (keyed, [names_key, alike_key, each_key, travel_key, parts_key], words) in [
        ("case", ["case_names", "case_alike", "case_thickness", "case_travel", "case_parts"], "Names of all plates keyed to the case, of both packs, with spaces between."),
        ("gear", ["gear_names", "gear_alike", "gear_thickness", "gear_travel", "gear_parts"], "Names of all plates keyed to the side gear, of both packs."),
    ] {
        let example = if keyed == "case" {
            "C1 C2 C3 C4"
        } else {
            "G1 G2 G3 G4"
        };
        let names = w.names(Key("[plate]", names_key, ""), [words, "written on the plate, or on its place on the rail", example])?;
        // the names are looked at before the thicknesses are known
        let known = |w: &mut Walk<'_>, name: &String, part: Option<&String>| {
            let place = |key| Key("[plate]", key, name.as_str());
            w.write(place("name"), FileValue::Text(name.clone()));
            w.write(place("keyed"), FileValue::Text(keyed.to_string()));
            if let Some(part) = part.filter(|part| *part != NONE) {
                w.write(place("part"), FileValue::Text(part.clone()));
            }
        };
        let provisional = |w: &mut Walk<'_>, names: &[String], parts: &[String]| {
            for (n, name) in names.iter().enumerate() {
                known(w, name, parts.get(n));
            }
        };
        let parts = match w.yes(Key("[plate]", travel_key, ""), ["Do these plates travel between units, each with a mark of its own?", "then their wear is followed from unit to unit", ""]) {
            None => None,
            Some(false) => Some(Vec::new()),
            Some(true) => w.marks(Key("[plate]", parts_key, ""), names.len(), ["The mark of each of them, in the order of the names above; - for one without.", "on the plate itself; no two plates have the same", "P0417 P0418 - P0420"]),
        };
        let Some(parts) = parts else {
            provisional(w, &names, &[]);
            return None;
        };
        let said = ["Thickness when new.", BY_LIST, "2.00"];
        let wants = Wants::Quantity(Dimension::Length, thick);
        let alike = match names.len() {
            1 => Some(true),
            _ => w.yes(Key("[plate]", alike_key, ""), ["Were all of these the same thickness when new?", "then it is asked once", ""]),
        };
        let one = match alike {
            Some(true) => w.ask(Key("[plate]", each_key, ""), wants.clone(), said, false),
            _ => None,
        };
        if alike.is_none() || alike == Some(true) && one.is_none() {
            provisional(w, &names, &parts);
            return None;
        }
        for (n, name) in names.iter().enumerate() {
            let place = |key| Key("[plate]", key, name.as_str());
            let value = one.clone().or_else(|| w.ask(place(each_key), wants.clone(), said, false));
            let Some(value) = value else {
                provisional(w, &names[n..], parts.get(n..).unwrap_or_default());
                return None;
            };
            known(w, name, parts.get(n));
            if let Value::Text(text) = value {
                w.write(place("thickness"), FileValue::Text(text));
            }
        }
    }
    w.stage = "Packs";
    for (table, side) in [("pack.left", "left"), ("pack.right", "right")] {
        let key = |key| Key(table, key, "");
        let words = if side == "left" {
            "The left pack: its plates in order, from the case wall to the pressure ring."
        } else {
            "The right pack: its plates in order, from the case wall to the pressure ring."
        };
        let order = w.names(key("order"), [words, "from the case wall to the pressure ring", "C1 G1 C2 G2"])?;
        w.write(key("order"), FileValue::Texts(order.clone()));
        w.write(key("count"), FileValue::Bare(order.len().to_string()));
        let faces = w.key(key("faces"), Wants::Count, ["How many faces rub in it, as you count them?", "10"], true)?;
        if w.has_fewer_faces(&order, &faces) {
            let meant = w.yes(key("dead_faces_meant"), ["This order has more faces than you say: is a dead face meant?", "yes: the plates are laid in otherwise, with as many faces as you say; no: go back and count again", ""]);
            if meant != Some(false) {
                w.write(key("dead_faces_meant"), FileValue::Bare("true".to_string()));
            }
            meant?;
        }
        w.key(key("shims"), Wants::Lengths, ["The shims that lie in it; none where there are none.", "0.30 0.10"], false)?;
    }
    Some(())
}

#[rustfmt::skip] // a line a key
fn bolts(w: &mut Walk<'_>) -> Option<()> {
    w.stage = "Bolts";
    for n in 1..=20 {
        let item = n.to_string();
        let key = |key| Key("[bolts]", key, item.as_str());
        w.text(key("name"), ["A group of like bolts, in the order of tightening: its name.", "cover"], false)?;
        w.text(key("size"), ["Thread and pitch.", "M8x1.25"], false)?;
        w.text(key("class"), ["Property class.", "10.9"], false)?;
        w.count(key("count"), ["How many bolts are in the group?", "10"], false)?;
        w.key(key("stages"), Wants::Torques, ["The torque of each stage, rising.", "12 N·m 32 N·m"], false)?;
        w.quantity(key("angle"), Dimension::Angle, [10.0, 180.0], ["A further turn after the last stage.", "45"], true)?;
        w.text(key("locker"), ["Thread-locker.", "medium strength"], true)?;
        if !w.yes(key("another"), ["Is there another group of bolts?", "", ""])? {
            break;
        }
    }
    Some(())
}

#[rustfmt::skip] // a line a key
fn offer(w: &mut Walk<'_>, sprung: bool) -> Option<()> {
    w.stage = "What it can be built with";
    if !w.yes(Key("offer", "known", ""), ["Shall the file say what else the unit can be built with?", "other ramps, other counts of faces, other preloads: settle chooses among them", ""])? {
        return Some(());
    }
    w.key(Key("offer", "faces", ""), Wants::Counts, ["Which counts of rubbing faces can a pack be built with?", "2 4 6 8 10"], true)?;
    if sprung {
        w.key(Key("offer", "preload", ""), Wants::Forces, ["Which forces on each pack can it be set to?", "800 N 1000 N 1200 N"], true)?;
    }
    for n in 1..=40 {
        let item = n.to_string();
        let key = |key| Key("[offer.ramp]", key, item.as_str());
        if !w.yes(key("another"), ["Is there a pair of ramps to be had for it, those in it too?", "rings are had with their pair of ramps", ""])? {
            break;
        }
        w.quantity(key("drive"), Dimension::RampAngle, ANY, ["The ramp of this pair that works on drive.", "60 deg from ring face"], false)?;
        w.quantity(key("coast"), Dimension::RampAngle, ANY, ["The ramp of this pair that works on coast.", "no ramp"], false)?;
    }
    Some(())
}
