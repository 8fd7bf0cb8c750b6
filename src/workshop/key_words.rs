//! What each key of a file means and where to find its value: for schemas, and for the comments that `new-unit` writes.

use super::file_kind::FileKind;

/// Keys by their path, with their words.
type Words = &'static [(&'static str, &'static str)];

#[rustfmt::skip] // a line a key
const UNIT: Words = &[
    ("format", "the first key of the file"),
    ("id", "the names of its builds begin with it"),
    ("name", "as it stands on the sheet"),
    ("car", "the car that it is usually in; the setting belongs to a car"),
    ("closed", "true: nobody has opened it; settle takes such a file, work does not"),
    ("guessed", "the keys whose values nobody knew: estimates, told as such wherever they count"),
    ("faces", "of a closed unit: how many faces rub"),
    ("faces.left", "in the left pack"),
    ("faces.right", "in the right pack"),
    ("preload", "of a closed unit: what presses on its packs, where there are springs"),
    ("preload.place", "behind the pack: on each side, or between the rings"),
    ("preload.force", "on each pack"),
    ("preload.breakaway", "while it turns slowly, instead of a force; the force follows"),
    ("preload.held", "output: one output held, case free, as one wheel turned by hand with the other on the ground; case: case held"),
    ("layout", "through: one depth over both packs; per-side: one for each"),
    ("drawer", "the file with shims and spare plates, beside this file"),
    ("instruments", "the file with the instruments, beside this file"),
    ("case", "the case"),
    ("case.depth", "cover face to wall, by the manual or by depth gauge on a clean case"),
    ("case.depth_left", "cover face to wall, by the manual or by depth gauge on a clean case"),
    ("case.depth_right", "cover face to wall, by the manual or by depth gauge on a clean case"),
    ("rings", "heights of the pressure rings"),
    ("rings.left", "from the face on the pack to the plane that the depth counts from"),
    ("rings.right", "from the face on the pack to the plane that the depth counts from"),
    ("ramp", "the ramps in the pressure rings"),
    ("ramp.drive", "say what it is counted from: 60 deg from ring face are 30 deg from shaft axis"),
    ("ramp.coast", "say what it is counted from: 60 deg from ring face are 30 deg from shaft axis"),
    ("ramp.friction", "oiled steel on steel; 0.05 to 0.1 is usual (common practice, no source)"),
    ("ramp.pin_radius", "from the shaft's axis to the middle of the contact"),
    ("ramp.gear", "the side gears, whose thrust is then reckoned with"),
    ("ramp.gear.radius", "pitch radius at the middle of the teeth"),
    ("ramp.gear.pressure_angle", "of the side gear's teeth, by the maker's manual"),
    ("ramp.gear.pitch_angle", "half the angle of its pitch cone"),
    ("ramp.tabs", "the rings' tabs, whose friction in the case is then reckoned with"),
    ("ramp.tabs.radius", "from the shaft's axis to where they bear"),
    ("ramp.tabs.friction", "oiled steel on steel"),
    ("friction", "the friction faces"),
    ("friction.still", "at first movement: from a proof of this unit, else an estimate"),
    ("friction.turning", "while they turn slowly: from a proof of this unit, else an estimate"),
    ("friction.outside", "a diameter, of where the faces meet"),
    ("friction.inside", "a diameter, of where the faces meet"),
    ("friction.pressure", "run-in, or even for new plates"),
    ("friction.doubt", "standard uncertainty while turning; a tenth of it where nothing is said (common practice, no source)"),
    ("case.cover", "the side on which the case opens; absent: right for a through unit, both for per-side"),
    ("case.metal", "what the case is made of, so that gap or preload are told warm, too; the parts in it are steel"),
    ("case.warm", "the temperature of the oil at which the unit runs; absent: 80 °C (common practice, no source)"),
    ("friction.wall_is_face", "a plate rubs on the case wall itself"),
    ("spring", "the preload springs, where there are any"),
    ("spring.place", "behind the pack: wall, shims, spring, plates, ring; or between the rings"),
    ("spring.kind", "disc or coil"),
    ("spring.least_height", "all its discs together; one that is lower has settled"),
    ("spring.tolerance", "how much less and more than reckoned the springs may press, by a certificate; absent: discs by DIN EN 16983, coils ± 10 % (common practice, no source)"),
    ("spring.part", "the maker's number of one spring"),
    ("spring.certificate", "what a certificate says of one of these springs; no tolerance stands beside it then"),
    ("spring.certificate.number", "the certificate's own number"),
    ("spring.certificate.part", "the number of the spring that it is of; another one than that of the springs is refused"),
    ("spring.certificate.height", "of one disc, or one coil, under load"),
    ("spring.certificate.force", "of one disc, or one coil, at that height"),
    ("spring.certificate.tolerance", "how much less and more than that the springs may press"),
    ("spring.outside", "outer diameter of a disc, by the maker's parts list or measured on a new one"),
    ("spring.inside", "inner diameter of a disc, by the maker's parts list or measured on a new one"),
    ("spring.thickness", "of one disc"),
    ("spring.height", "free height of one new disc, its cone and its thickness together"),
    ("spring.reduced", "reduced thickness with contact flats, by its standard or data sheet"),
    ("spring.parallel", "discs the same way round in a packet: they add force"),
    ("spring.series", "packets one against the next: they add travel"),
    ("spring.free", "free height of one new spring"),
    ("spring.solid", "turns times wire thickness"),
    ("spring.rate", "of one spring, by the maker's parts list or measured on a new one"),
    ("spring.count", "the whole set"),
    ("wanted", "what the unit is to come to"),
    ("wanted.preload_least", "on each pack: maker's manual, or your setting for this car"),
    ("wanted.preload_target", "on each pack, to aim at"),
    ("wanted.preload_most", "on each pack"),
    ("wanted.gap_least", "in each pack: maker's manual, or your setting for this car"),
    ("wanted.gap_target", "in each pack, to aim at"),
    ("wanted.gap_most", "in each pack"),
    ("wanted.breakaway_least", "while turning; the window of the proof, held as said below"),
    ("wanted.breakaway_most", "while turning; the window of the proof, held as said below"),
    ("wanted.held", "output: half of both packs is read; case: all of it, and what a ramp adds; then the window is meant turned forwards"),
    ("wanted.sides_match", "so that the rings stand in the middle"),
    ("wanted.shims_a_side", "at most so many; many thin ones give way"),
    ("wanted.curve_to", "what the gearbox can give in a low gear; the lock curve is drawn up to it"),
    ("limits", "limits of used parts"),
    ("limits.gear_least", "thickness of a plate keyed to the side gear, by the maker's manual"),
    ("limits.case_least", "thickness of a plate keyed to the case, by the maker's manual"),
    ("limits.spread", "between readings on one plate: one worn out of parallel drags"),
    ("limits.flatness", "the thickest feeler that goes under it"),
    ("limits.confidence", "how sure a verdict must be, as a probability; 0.95 where nothing is said"),
    ("pack", "the packs, as they are built"),
    ("pack.left", "the left pack"),
    ("pack.left.count", "how many plates"),
    ("pack.left.order", "from the case wall to the pressure ring"),
    ("pack.left.shims", "as it was last built"),
    ("pack.left.faces", "that rub, as you count them; they are held against the order"),
    ("pack.left.dead_faces_meant", "where faces is less than the order has, on purpose: the plates are laid in otherwise"),
    ("pack.right", "the right pack"),
    ("pack.right.count", "how many plates"),
    ("pack.right.order", "from the case wall to the pressure ring"),
    ("pack.right.shims", "as it was last built"),
    ("pack.right.faces", "that rub, as you count them; they are held against the order"),
    ("pack.right.dead_faces_meant", "where faces is less than the order has, on purpose: the plates are laid in otherwise"),
    ("plate", "every plate of both packs"),
    ("bolts", "groups of like bolts, in the order in which they are tightened"),
    ("bolts.name", "in the order in which they are tightened"),
    ("bolts.size", "on the bolt, or measured with a pitch gauge"),
    ("bolts.class", "on the bolt's head"),
    ("bolts.count", "bolts in the group"),
    ("bolts.stages", "maker's figures; nobody else's"),
    ("bolts.angle", "a further turn, where the manual has one"),
    ("bolts.locker", "thread-locker, where the manual has one"),
    ("bolts.new", "true where the manual wants new bolts each time"),
    ("gears", "the gears between the rings, where their play and washers are measured"),
    ("gears.end_float_least", "of each side gear, by the maker's manual"),
    ("gears.end_float_most", "of each side gear, by the maker's manual"),
    ("gears.backlash_least", "between side gear and pinion, by the maker's manual"),
    ("gears.backlash_most", "between side gear and pinion, by the maker's manual"),
    ("gears.washers", "how many thrust washers, at side gears and pinions together"),
    ("gears.washer_least", "thickness of a used thrust washer, by the maker's manual"),
    ("oil", "the oil that it runs in, where that is laid down"),
    ("oil.kind", "oil and friction modifier, by the maker's manual"),
    ("oil.amount", "by the maker's manual"),
    ("offer", "what the unit can be built with, for settling"),
    ("offer.ramp", "pairs of ramps that can be had for it"),
    ("offer.ramp.drive", "as for the ramps above"),
    ("offer.ramp.coast", "as for the ramps above"),
    ("offer.faces", "counts of rubbing faces in a pack that it can be built with"),
    ("offer.preload", "forces on each pack that it can be set to"),
];

#[rustfmt::skip] // a line a key
const PLATE: Words = &[
    ("name", "written on the plate, or on its place on the rail"),
    ("keyed", "to the side gear or to the case"),
    ("thickness", "as new"),
    ("part", "its own mark, where plates travel between units: it is then the same plate everywhere"),
];

#[rustfmt::skip] // a line a key
const DRAWER: Words = &[
    ("format", "the first key of the file"),
    ("shim", "sizes of shims"),
    ("shim.thickness", "as marked or measured"),
    ("shim.count", "how many of it"),
    ("spare", "plates that are not in the unit"),
];

#[rustfmt::skip] // a line a key
const INSTRUMENTS: Words = &[
    ("format", "the first key of the file"),
    ("instrument", "each instrument; one for thickness, one for depth and one for torque are wanted at least"),
    ("instrument.id", "what is engraved on it"),
    ("instrument.measures", "what it measures"),
    ("instrument.due", "the last day of its calibration"),
    ("instrument.resolution", "its smallest step, a length; of a press a force"),
    ("instrument.calibration", "expanded uncertainty, k = 2, by the certificate"),
    ("instrument.repeatability", "standard deviation of readings at one place"),
    ("instrument.standard", "what its zero is checked on"),
    ("instrument.relative", "expanded uncertainty, k = 2, as a share of the reading"),
    ("instrument.height", "of a press: expanded uncertainty, k = 2, of the height that a spring is pressed to"),
    ("instrument.length", "square to the middle of the grip"),
    ("instrument.reads_least", "the least torque that it reads; less is asked again"),
    ("instrument.reads_most", "the most torque that it reads, or force of a press; more is asked again"),
];

#[rustfmt::skip] // a line a key
const CAR: Words = &[
    ("format", "the first key of the file"),
    ("name", "what people call it"),
    ("guessed", "the keys whose values nobody knew: estimates, told as such wherever they count"),
    ("driven", "the axle that is driven, or both"),
    ("unit_in", "where the unit sits: front, rear or, with both axles driven, centre"),
    ("rear_share", "of the drive, where both axles are driven: what the centre gives to the rear"),
    ("mass", "with driver, as it runs"),
    ("front_weight", "on the front axle, from corner scales"),
    ("rear_weight", "on the rear axle, from corner scales"),
    ("track", "at the unit's axle, of a unit in the centre at the front"),
    ("other_track", "at the other axle; the same, if it is left out"),
    ("wheelbase", "between the axles"),
    ("height", "of the centre of mass"),
    ("roll_share", "of the roll stiffness, at the unit's axle, of a unit in the centre at the front"),
    ("centre", "what joins the axles where the centre has no plate unit: open gears, or solid"),
    ("centre_place", "before the final drives, which then multiply what it holds, or behind them"),
    ("kingpin_offset", "from the steering axis to the middle of the front wheel, for the tug at the steering"),
    ("air", "force of the air; it grows with the square of the speed"),
    ("air.at", "the speed at which it is this"),
    ("air.front", "on the front axle"),
    ("air.rear", "on the rear axle"),
    ("tyre_radius", "of the rolling tyre"),
    ("engine", "the engine: one torque, or points over its speed"),
    ("engine.torque", "at full throttle, for every speed"),
    ("engine.point", "torque over speed, rising in rpm"),
    ("engine.point.rpm", "revolutions in a minute"),
    ("engine.point.torque", "at full throttle"),
    ("engine.drag", "what turns the engine over with the throttle closed"),
    ("gears", "the gears, and which is settled for"),
    ("gears.ratios", "from first gear up"),
    ("gears.settle_in", "the gear that is settled for, from 1"),
    ("gears.settle_at", "revolutions in a minute that are settled for; where the torque is greatest, if it is left out"),
    ("gears.final", "ratio of the final drive"),
    ("gears.efficiency", "from engine to case"),
];

#[rustfmt::skip] // a line a key
const USE: Words = &[
    ("format", "the first key of the file"),
    ("name", "what it is called"),
    ("words", "what is wanted, in words"),
    ("high_grip", "grip of the better side"),
    ("low_grip", "grip of the other side"),
    ("cornering", "sideways, as a share of the weight"),
    ("coast", "lock share that is wanted on coast"),
    ("drive", "points, rising in throttle"),
    ("drive.throttle", "from 0 to 1"),
    ("drive.lock", "lock share that is wanted there"),
    ("moment", "a place on the road with what is wanted there, at most 200"),
    ("moment.name", "what it is called"),
    ("moment.weight", "how much it counts in the mean; 1, if it is left out"),
    ("moment.unit_in", "the place of the unit that it is for: front, centre or rear; any, if it is left out"),
    ("moment.speed", "of the car"),
    ("moment.cornering", "sideways, as a share of the weight"),
    ("moment.inside_grip", "of the tyres inside the bend, as a whole"),
    ("moment.outside_grip", "of the tyres outside, as a whole"),
    ("moment.slide_slip", "the slip from which on a tyre slides fully; 0.1, if it is left out (common practice, no source)"),
    ("moment.gear", "from 1; the one that the car is settled in, if it is left out"),
    ("moment.front_brake", "torque that the brake of each front wheel holds"),
    ("moment.rear_brake", "torque that the brake of each rear wheel holds"),
    ("moment.front_downforce", "force of the air on the front axle; as the car has it, if it is left out"),
    ("moment.rear_downforce", "force of the air on the rear axle"),
    ("moment.throttle", "opened, if it is left out; shut: the engine drags"),
    ("moment.throttle_from", "the least throttle, from 0 to 1; 0, if it is left out"),
    ("moment.throttle_to", "the most throttle; 1, if it is left out"),
    ("moment.one_from", "turns as one from this throttle, or sooner"),
    ("moment.not_one_before", "does not turn as one before this throttle"),
    ("moment.never_one", "never turns as one"),
    ("moment.puts_down", "puts down so much of what both tyres could, at the most throttle"),
    ("moment.against_at_most", "the most moment against the turn"),
    ("moment.against_at_most_front_grip", "the same as a share of the grip of the front tyres"),
    ("moment.against_at_least", "the least moment against the turn, which steadies the car"),
    ("moment.against_at_least_front_grip", "the same as a share of the grip of the front tyres"),
];

#[rustfmt::skip] // a line a key
const READINGS: Words = &[
    ("format", "the first key of the file"),
    ("micrometer", "which one measured plates and rings, by its id"),
    ("depth_gauge", "which one measured depths and springs, by its id"),
    ("case", "depth of the case"),
    ("case.depth", "of a through unit, zero error taken off"),
    ("case.depth_left", "of a per-side unit, zero error taken off"),
    ("case.depth_right", "of a per-side unit, zero error taken off"),
    ("rings", "heights of the pressure rings"),
    ("rings.left", "zero error taken off"),
    ("rings.right", "zero error taken off"),
    ("spring", "the springs, where there are any"),
    ("spring.heights", "free heights: left and right, or the one between the rings"),
    ("plate", "each plate that may be used; one that is not named was not measured"),
    ("plate.name", "as in the unit's file or the drawer's"),
    ("plate.thickness", "at one or more points, zero error taken off"),
    ("plate.flatness", "how far it is out of flat"),
];

#[rustfmt::skip] // a line a key
const SETTING: Words = &[
    ("format", "the first key of the file"),
    ("date", "the day on which it was settled"),
    ("take", "which of the proposals"),
    ("class", "by the angles of its ramps"),
    ("unit", "the unit that it is for"),
    ("unit.id", "the unit's id"),
    ("unit.name", "its name"),
    ("unit.digest", "of its file as it was then"),
    ("car", "the car that it was settled for"),
    ("car.name", "its name"),
    ("car.digest", "of its file as it was then"),
    ("use", "what the car is used for"),
    ("use.name", "its name"),
    ("use.digest", "of its file as it was then"),
    ("rings", "the ramps that the rings are to have"),
    ("rings.drive", "the ramp that works on drive"),
    ("rings.coast", "the ramp that works on coast"),
    ("faces", "faces that rub"),
    ("faces.left", "in the left pack"),
    ("faces.right", "in the right pack"),
    ("spring", "force of the springs on each pack"),
    ("spring.place", "where the springs sit"),
    ("spring.least", "on each pack"),
    ("spring.target", "on each pack, to aim at"),
    ("spring.most", "on each pack"),
    ("locking", "share of the torque that the ramps lock"),
    ("locking.drive", "on drive"),
    ("locking.coast", "on coast"),
    ("drive", "points on drive"),
    ("drive.throttle", "from 0 to 1"),
    ("drive.wanted", "lock share that is wanted there"),
    ("drive.expected", "lock share that the setting gives; left out where both tyres can react the same"),
    ("drive.case_torque", "at the case there"),
    ("drive.between_tyres", "between the torques that the two tyres can react"),
    ("coast", "the point on coast"),
    ("coast.wanted", "lock share that is wanted there"),
    ("coast.expected", "lock share that the setting gives; left out where both tyres can react the same"),
    ("coast.case_torque", "at the case there"),
    ("coast.between_tyres", "between the torques that the two tyres can react"),
    ("proof", "breakaway torque at the bench, turning"),
    ("proof.held", "output: half of both packs is read; case: all of it, and what a ramp adds; then the window is meant turned forwards"),
    ("proof.least", "the window of the proof"),
    ("proof.expected", "what is expected"),
    ("proof.most", "the window of the proof"),
];

#[rustfmt::skip] // a line a key
const PROCEDURE: Words = &[
    ("format", "the first key of the file"),
    ("id", "a short name for it"),
    ("title", "as it stands on the sheet"),
    ("purpose", "what it is for, in a sentence or two"),
    ("sheet", "what its sheet is called; build sheet, if it is left out"),
    ("language", "by its letters, such as de; en, if it is left out: in another one every do step says its hazards"),
    ("drive_day", "whether it is of a drive day of a car: its steps are then those that such a day knows"),
    ("only", "what a unit must be for it to make sense"),
    ("stage", "steps that belong together, in order"),
    ("stage.title", "what the stage is called"),
    ("stage.step", "the steps, in order"),
    ("stage.step.use", "a step of the library, with its words; keys beside it say when it is asked and with what"),
    ("stage.step.id", "a short name, once in the procedure"),
    ("stage.step.kind", "what kind of step it is"),
    ("stage.step.words", "what to do; an empty line parts paragraphs"),
    ("stage.step.why", "why it is done"),
    ("stage.step.tools", "with what"),
    ("stage.step.fills", "what the answer fills in"),
    ("stage.step.needs", "what must have been filled in by an earlier step"),
    ("stage.step.each", "asked once for each of these"),
    ("stage.step.points", "how many readings are taken"),
    ("stage.step.only", "asked only where all of these hold for the unit"),
    ("stage.step.ways", "the only words that the answer may be"),
    ("stage.step.first", "of a choice: what comes first among its proposals"),
    ("stage.step.skip", "whether it may be left out with a reason"),
    ("stage.step.scale", "of what is felt on a drive day: five steps in words, from far too little lock to far too much"),
    ("stage.step.answer", "how a step is answered that fills nothing in"),
    ("stage.step.before_buried", "parts that are looked at as soon as they lie in, before the next one covers them"),
    ("stage.step.later", "the step came after version 0.1.0: an answers file from before does not have it"),
    ("stage.step.again", "asked anew in each round that opens the unit again"),
    ("stage.step.guard", "typed: the answer is typed in full, with no default; stops: and a no stops the way until it is put right"),
    ("stage.step.shows", "what of the unit is shown beside the question"),
    ("stage.step.hazards", "what can hurt in this step, or [] where nothing can; a caution before it must cover it"),
    ("stage.step.covers", "what this caution covers"),
    ("stage.step.torque", "of a tighten step that is not one of the unit's bolt groups"),
];

#[rustfmt::skip] // a line a key
const WORDS: Words = &[
    ("format", "the first key of the file"),
    ("word", "words of the trade"),
    ("word.term", "the word itself"),
    ("word.also", "what else it is called"),
    ("word.says", "what it means"),
    ("word.formula", "its formulas, one an element"),
    ("word.not_in", "phrases in which it means another thing and is not told"),
    ("mixed", "words that people mix up"),
    ("mixed.terms", "terms of words above"),
    ("mixed.says", "how they differ"),
];

impl FileKind {
    /// Every key of this kind of file that has words, with them.
    fn keys(self) -> (Words, Option<&'static str>) {
        match self {
            FileKind::Unit => (UNIT, Some("plate.")),
            FileKind::Drawer => (DRAWER, Some("spare.")),
            FileKind::Instruments => (INSTRUMENTS, None),
            FileKind::Car => (CAR, None),
            FileKind::Use => (USE, None),
            FileKind::Readings => (READINGS, None),
            FileKind::Setting => (SETTING, None),
            FileKind::Procedure => (PROCEDURE, None),
            FileKind::Words => (WORDS, None),
        }
    }

    /// What the key at a path, such as `case.depth`, means and where to find its value; `None` for a key that is not known.
    ///
    /// ```
    /// use shimwright::workshop::FileKind;
    /// assert_eq!(FileKind::Drawer.says("spare.thickness"), Some("as new"));
    /// assert_eq!(FileKind::Drawer.says("colour"), None);
    /// ```
    pub fn says(self, path: &str) -> Option<&'static str> {
        let (words, plates) = self.keys();
        let of = |words: Words, key: &str| {
            words
                .iter()
                .find(|(known, _)| *known == key)
                .map(|(_, says)| *says)
        };
        match plates.and_then(|table| path.strip_prefix(table)) {
            Some(key) => of(PLATE, key),
            None => of(words, path),
        }
    }

    /// The path of every key that has words.
    pub fn keys_told(self) -> Vec<String> {
        let (words, plates) = self.keys();
        let own = words.iter().map(|(path, _)| (*path).to_string());
        let of_plates = plates
            .into_iter()
            .flat_map(|table| PLATE.iter().map(move |(key, _)| format!("{table}{key}")));
        own.chain(of_plates).collect()
    }
}
