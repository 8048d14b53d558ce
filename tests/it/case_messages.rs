//! What a case file's reader says: one test a message, each a good case with one line changed.
// Helpers of tests may panic as tests may.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::io;

use backhold::case::{Problem, ProblemKind, Problems, ReadCase, TEMPLATE, parse_case};

fn none(_: &str) -> io::Result<String> {
    Err(io::ErrorKind::NotFound.into())
}

fn read(text: &str) -> Result<ReadCase, Problems> {
    parse_case(text, "case.toml", &none)
}

fn changed(from: &str, to: &str) -> String {
    assert!(TEMPLATE.contains(from), "the template has no {from:?}");
    TEMPLATE.replacen(from, to, 1)
}

fn line_of(text: &str, marker: &str) -> usize {
    1 + text.lines().position(|l| l.contains(marker)).unwrap_or_else(|| panic!("no {marker:?}"))
}

/// The one problem that a change makes.
fn only(text: &str) -> Problem {
    let problems = read(text).unwrap_err();
    assert_eq!(problems.list().len(), 1, "{problems}");
    let problem = problems.list()[0].clone();
    assert!(problem.to_string().lines().count() <= 3, "{problem}");
    assert_eq!(problem.file, "case.toml");
    assert!(!problem.allowed.is_empty() && !problem.advice.is_empty(), "{problem}");
    assert!(!problems.machine_said_no());
    problem
}

/// What is changed into what; a text of the line that is blamed; key; parts of found, allowed
/// and advice.
type Row = (&'static str, &'static str, &'static str, &'static str, &'static str, &'static str, &'static str);

const SET_B: &str =
    "name = \"B\"\ndip_deg = 59.0            # invented\ndip_direction_deg = 170.0 # invented";
const BOND: &str = "bond_kn_per_m = 180.0     #";

#[rustfmt::skip]
const ROWS: &[Row] = &[
    // Ranges.
    ("dip_deg = 66.0 ", "dip_deg = 95 ", "dip_deg = 95", "joint_set[1].dip_deg", "95", "0 to 90 degrees", "overturned"),
    ("dip_deg = 66.0 ", "dip_deg = -1 ", "dip_deg = -1", "joint_set[1].dip_deg", "-1", "0 to 90 degrees", "level"),
    ("dip_direction_deg = 48.0", "dip_direction_deg = 360.5", "360.5", "joint_set[1].dip_direction_deg", "360.5", "0 to 360", "clockwise"),
    ("trend_deg = 35.0", "trend_deg = nan", "= nan", "drive.trend_deg", "nan, which is not a finite number", "0 to 360", "clockwise"),
    ("trend_deg = 35.0", "trend_deg = inf", "= inf", "drive.trend_deg", "inf, which is not a finite number", "0 to 360", "clockwise"),
    ("trend_deg = 35.0", "trend_deg = 1e999", "1e999", "drive.trend_deg", "1e999, which is not a finite", "0 to 360", "clockwise"),
    ("plunge_deg = 0.0", "plunge_deg = -91", "-91", "drive.plunge_deg", "-91", "-90 to 90", "negative"),
    ("plunge_deg = 0.0", "plunge_deg = 90.0", "= 90.0", "drive.plunge_deg", "90: by true level every side", "less than 60 either way", "raises and shafts"),
    ("plunge_deg = 0.0", "plunge_deg = -60", "= -60", "drive.plunge_deg", "-60: by true level every side", "less than 60 either way", "raises and shafts"),
    ("friction_deg = 32.0", "friction_deg = 90", "friction_deg = 90", "joint_set[1].friction_deg", "90", "0 to 85 degrees", "coefficient"),
    ("cohesion_kpa = 0.0", "cohesion_kpa = -2", "= -2", "joint_set[1].cohesion_kpa", "-2", "0 to 100000 kPa", "MPa"),
    ("unit_weight_kn_m3 = 27.0", "unit_weight_kn_m3 = 0", "m3 = 0", "rock.unit_weight_kn_m3", "0", "above 0, up to 60 kN/m³", "9.81"),
    ("unit_weight_kn_m3 = 27.0", "unit_weight_kn_m3 = 2700", "2700", "rock.unit_weight_kn_m3", "2700", "up to 60", "9.81"),
    ("width_m = 5.0", "width_m = 0", "width_m = 0", "drive.section.width_m", "0", "0.1 to 100 metres", "metres"),
    ("width_m = 5.0", "width_m = 5000", "= 5000", "drive.section.width_m", "5000", "0.1 to 100 metres", "metres"),
    ("# last_ring_from_face_m = 0.6", "last_ring_from_face_m = -1", "face_m = -1", "drive.last_ring_from_face_m", "-1", "0 to 100", "metres"),
    ("# fast_length_m = 0.5", "fast_length_m = 0", "fast_length_m = 0", "bolt[1].fast_length_m", "0", "above 0", "metres"),
    ("# fast_length_m = 0.5", "fast_length_m = 2.5", "length_m = 2.4", "pattern[1].length_m", "2.3", "at least 2.5", "fast_length_m"),
    ("round_length_m = 3.6", "round_length_m = 0", "h_m = 0", "drive.round_length_m", "0", "0.1 to 100", "metres"),
    ("\nring_spacing_m = 1.2", "\nring_spacing_m = 0.05", "0.05", "pattern[1].ring_spacing_m", "0.05", "0.1 to 100", "distance"),
    ("\nspacing_m = 1.2", "\nspacing_m = 0", "spacing_m = 0", "pattern[1].spacing_m", "0", "0.1 to 100", "distance"),
    ("\nlength_m = 2.4", "\nlength_m = 31", "length_m = 31", "pattern[1].length_m", "31", "0.1 to 30", "metres"),
    ("min_fs_falling = 2.0", "min_fs_falling = 0", "ing = 0", "criteria.min_fs_falling", "0", "above 0", "site"),
    ("steel_kn = 120.0", "steel_kn = 0", "l_kn = 0", "bolt[1].steel_kn", "0", "above 0", "9.81"),
    ("plate_kn = 100.0", "plate_kn = -1", "= -1", "bolt[1].plate_kn", "-1", "0 to 10000 kN", "no plate"),
    ("\nmax_trace_m = 8.0", "\nmax_trace_m = 0", "trace_m = 0", "limits.max_trace_m", "0", "0.01 to 10000", "metres"),
    // Types.
    ("dip_deg = 66.0 ", "dip_deg = \"68\" ", "\"68\"", "joint_set[1].dip_deg", "the text \"68\"", "0 to 90", "dip_deg = 68"),
    ("dip_deg = 66.0 ", "dip_deg = \"68,5\" ", "\"68,5\"", "joint_set[1].dip_deg", "the text \"68,5\"", "0 to 90", "dip_deg = 68.5"),
    ("\nlength_m = 2.4", "\nlength_m = \"2.4 m\"", "2.4 m", "pattern[1].length_m", "the text \"2.4 m\"", "0.1 to 30", "unit is in the key: length_m = 2.4"),
    ("dip_deg = 66.0 ", "dip_deg = \"steep\" ", "steep", "joint_set[1].dip_deg", "the text \"steep\"", "0 to 90", "write a number"),
    ("dip_deg = 66.0 ", "dip_deg = true #", "= true #", "joint_set[1].dip_deg", "true", "0 to 90", "write a number"),
    ("dip_deg = 66.0 ", "dip_deg = 2026-11-25 ", "2026", "joint_set[1].dip_deg", "the date 2026-11-25", "0 to 90", "write a number"),
    ("stagger = true", "stagger = \"yes\"", "yes", "pattern[1].stagger", "the text \"yes\"", "true or false", "without quotation"),
    ("title = \"Invented haulage, chainage 40 to 90\"", "title = 1180", "1180", "title", "the number 1180", "a text", "title = \"1180\""),
    ("title = \"Invented haulage, chainage 40 to 90\"", "title = \" \"", "\" \"", "title", "an empty text", "at least one", "fill"),
    ("title = \"Invented", "title = \"In\\u001Bvented", "u001B", "title", "vented", "one line without control", "one line"),
    ("covers = [\"back\", \"walls\"]", "covers = \"back\"", "covers = \"back\"", "pattern[1].covers", "the text \"back\"", "a list of", "covers = [\"back\"]"),
    ("covers = [\"back\", \"walls\"]", "covers = []", "covers = []", "pattern[1].covers", "0 entries", "at least 1", "add"),
    ("[criteria]", "[[criteria]]", "[[criteria]]", "criteria", "a list of tables", "one table [criteria]", "single brackets"),
    ("[[bolt]]\nname", "[bolt]\nname", "\n[bolt]", "bolt", "a table", "each under [[bolt]]", "double brackets"),
    ("section = { shape = \"arched\", width_m = 5.0, wall_height_m = 3.2, rise_m = 1.6 }", "section = \"arched\"", "section = \"arched\"", "drive.section", "the text \"arched\"", "a table", "shape ="),
    // Words and names.
    ("kind = \"resin\"", "kind = \"rasin\"", "rasin", "bolt[1].kind", "\"rasin\"", "\"resin\", \"mechanical\", \"friction\" or \"cable\"", "did you mean \"resin\"?"),
    ("shape = \"arched\"", "shape = \"arch\"", "\"arch\"", "drive.section.shape", "\"arch\"", "\"flat\"", "did you mean \"arched\"?"),
    ("shape = \"arched\", ", "", "section = {", "drive.section.shape", "nothing", "\"flat\"", "shape ="),
    ("covers = [\"back\", \"walls\"]", "covers = [\"back\", \"wall\"]", "\"wall\"]", "pattern[1].covers[2]", "\"wall\"", "\"walls\"", "did you mean \"walls\"?"),
    ("covers = [\"back\", \"walls\"]", "covers = [\"back\", \"walls\", \"face\"]", "\"face\"]", "pattern[1].covers[3]", "\"face\"", "\"right wall\"", "of their own"),
    ("# direction = \"normal\"", "direction = \"up\" #", "\"up\"", "pattern[1].direction", "\"up\"", "\"normal\", \"vertical\" or \"boom\"", "one of the words"),
    ("# direction = \"normal\"", "direction = 3 #", "direction = 3", "pattern[1].direction", "the number 3", "a table with fan_origin_u_m and fan_origin_v_m", "write"),
    ("name = \"A\" ", "name = \"A-1\" ", "A-1", "joint_set[1].name", "\"A-1\"", "letters", "\"A_1\""),
    // Keys.
    ("trend_deg = 35.0", "trend = 35.0", "trend = 35", "drive.trend", "the unknown key \"trend\"", "plunge_deg", "did you mean trend_deg?"),
    ("dip_direction_deg = 48.0", "dip_dir = 48.0", "dip_dir =", "joint_set[1].dip_dir", "the unknown key \"dip_dir\"", "dip_direction_deg", "did you mean dip_direction_deg?"),
    ("round_length_m = 3.6", "round_length_m = 3.6\nmax_depth_m = 4.0", "max_depth_m = 4.0", "drive.max_depth_m", "unknown key", "section", "belongs to [limits]"),
    ("min_fs_sliding = 1.5", "min_fs_sliding = 1.5\njoint_sets = \"a.toml\"", "\"a.toml\"", "criteria.joint_sets", "unknown key", "min_fs_falling", "top of the file"),
    ("round_length_m = 3.6", "round_length_m = 3.6\ncriteria = 1", "criteria = 1", "drive.criteria", "unknown key", "section", "write [criteria] over its keys"),
    ("round_length_m = 3.6", "round_length_m = 3.6\npattern = 1", "pattern = 1", "drive.pattern", "unknown key", "section", "write [[pattern]] over its keys"),
    ("\nlength_m = 2.4", "\nhole_length_m = 2.4", "hole_length_m", "pattern[1].hole_length_m", "unknown key", "length_m", "did you mean length_m?"),
    ("unit_weight_kn_m3 = 27.0", "#", "[rock]", "rock.unit_weight_kn_m3", "nothing", "up to 60", "add unit_weight_kn_m3 (Unit weight, kN/m³ (t/m³ times 9.81))"),
    ("round_length_m = 3.6", "round_length_m = 3.6\nqqqq = 1", "qqqq", "drive.qqqq", "unknown key", "section", "delete it"),
    ("\nplate_kn = 100.0", "\n#", "[[bolt]]\nname = \"resin", "bolt[1].plate_kn", "nothing", "0 to 10000 kN", "0 where there is no plate"),
    ("\nfriction_deg = 32.0", "\n#", "\n[[joint_set]]", "joint_set[1].friction_deg", "nothing", "0 to 85", "no default"),
    ("dip_deg = 66.0 ", "#", "\n[[joint_set]]", "joint_set[1].dip_deg", "nothing", "0 to 90", "as mapped"),
    ("title = \"Invented haulage, chainage 40 to 90\"", "", "# A case to start from", "title", "nothing", "a text", "add title"),
    ("min_fs_sliding = 1.5", "", "[criteria]", "criteria.min_fs_sliding", "nothing", "above 0", "add min_fs_sliding"),
    // Values that make no sense together.
    ("rise_m = 1.6", "rise_m = 2.6", "rise_m = 2.6", "drive.section.rise_m", "2.6, more than half of width_m", "up to 2.5", "springline"),
    ("name = \"B\"", "name = \"A\"", "name = \"A\"\ndip_deg = 59", "joint_set[2].name", "\"A\", which is the name of the set on line", "of its own", "rename"),
    (SET_B, "name = \"B\"\ndip_deg = 66.05\ndip_direction_deg = 48.0", "66.05", "joint_set[2].dip_deg", "a plane 0.050° from set \"A\"", "0.1°", "one set"),
    (SET_B, "name = \"A\"\ndip_deg = 66.0\ndip_direction_deg = 48.0", "name = \"A\"\ndip_deg = 66.0\n", "joint_set[2].name", "the same set", "each set once", "delete"),
    ("lowest_collar_m = 1.5", "lowest_collar_m = 4.8", "collar_m = 4.8", "pattern[1].lowest_collar_m", "4.8, at or above the crown", "below the crown, 4.800", "height"),
    ("lowest_collar_m = 1.5", "#", "\n[[pattern]]", "pattern[1].lowest_collar_m", "nothing, though a wall is covered", "0 to 100", "add lowest_collar_m"),
    ("stagger = true", "row_at_m = 4.6\nstagger = true", "row_at_m = 4.6", "pattern[1].row_at_m", "row_at_m is 4.6; the right wall reaches from 0.000", "a height on the wall, between 0.000", "height of the row"),
    ("covers = [\"back\", \"walls\"]", "row_at_m = 1.0\ncovers = [\"back\"]", "row_at_m = 1.0", "pattern[1].row_at_m", "no wall is covered", "where covers names a wall", "cover the wall"),
    ("bolt = \"resin rebar 20 mm\"", "bolt = \"resin rebr\"", "rebr", "pattern[1].bolt", "a bolt that nobody defined", "\"resin rebar 20 mm\"", "did you mean"),
    ("outside_hole_m = 0.1", "outside_hole_m = 1.3", "= 1.3", "pattern[1].outside_hole_m", "longer outside than in it", "at most half of length_m: 1.2", "sticks out"),
    ("kind = \"resin\"            # resin", "kind = \"mechanical\"\nanchor_kn = 80\nanchor_length_m = 0.2\n#", BOND, "bolt[1].bond_kn_per_m", "kind \"mechanical\" does not have", "anchor_kn and anchor_length_m", "delete"),
    (BOND, "anchor_kn = 80.0\nbond_kn_per_m = 180.0 #", "anchor_kn = 80", "bolt[1].anchor_kn", "kind \"resin\" does not have", "bond_kn_per_m", "delete"),
    (BOND, "#", "[[bolt]]\nname = \"resin", "bolt[1].bond_kn_per_m", "nothing", "bond_kn_per_m for kind \"resin\"", "pull tests"),
    ("# direction = \"normal\"", "direction = \"vertical\" #", "direction = \"vertical\"", "pattern[1].direction", "would not enter the rock", "enter the rock", "cover the back alone"),
    ("# direction = \"normal\"", "direction = { fan_origin_u_m = 9.0, fan_origin_v_m = 2.0 } #", "= 9.0", "pattern[1].direction", "would not enter the rock", "enter the rock", "fan's origin"),
    // Not TOML.
    ("dip_deg = 66.0 ", "dip_deg = 66,0 ", "66,0", "dip_deg", "dip_deg = 66,0", "TOML", "after a point"),
    ("dip_deg = 66.0 ", "dip_deg = steep ", "steep", "dip_deg", "dip_deg = steep", "TOML", "quotation marks"),
    ("title = \"Invented haulage, chainage 40 to 90\"", "title =", "title =", "title", "title =", "TOML", "behind the ="),
    ("dip_deg = 66.0 ", "dip_deg 66.0 ", "dip_deg 66", "", "dip_deg 66.0", "TOML", "correct the line"),
    ("dip_deg = 66.0 ", "dip_deg = 66.0\ndip_deg = 67.0 #", "dip_deg = 67.0", "dip_deg", "a second time", "once", "delete"),
    ("\n[limits]", "\n[drive]", "[drive]\nmax", "", "[drive] a second time", "once", "delete"),
];

#[test]
fn each_mistake_has_its_message() {
    let mut wrong = Vec::new();
    for (from, to, at, key, found, allowed, advice) in ROWS {
        let text = changed(from, to);
        let start = text.find(at).unwrap_or_else(|| panic!("no {at:?}"));
        // A marker may start with the end of the line before it.
        let start = start + usize::from(at.starts_with('\n'));
        let line = 1 + text[..start].matches('\n').count();
        match read(&text) {
            Ok(_) => wrong.push(format!("{to:?} is taken")),
            Err(problems) => {
                let p = &problems.list()[0];
                let good = problems.list().len() == 1
                    && p.line == Some(line)
                    && p.key == *key
                    && p.found.contains(found)
                    && p.allowed.contains(allowed)
                    && p.advice.contains(advice)
                    && p.to_string().lines().count() <= 3
                    && !problems.machine_said_no();
                if !good {
                    wrong.push(format!("{to:?}: line {line} expected, but\n{problems}"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{} of {}\n{}", wrong.len(), ROWS.len(), wrong.join("\n\n"));
    assert_eq!(ROWS.len(), 84, "rows were lost");
}

#[test]
fn the_words_of_a_message_are_these() {
    let text = changed("dip_deg = 66.0 ", "dip_deg = 95.0 ");
    let line = 1 + text.lines().position(|l| l.starts_with("dip_deg = 95.0")).unwrap();
    assert_eq!(
        only(&text).to_string(),
        format!(
            "case.toml:{line}: joint_set[1].dip_deg: found 95.0\n  \
             allowed: a number from 0 to 90 degrees\n  \
             do: measure down from level; an overturned plane takes the opposite dip direction"
        )
    );
}

#[test]
fn missing_criteria_have_a_message_of_their_own() {
    let text = changed("[criteria]\nmin_fs_falling = 2.0", "").replace("min_fs_sliding = 1.5 ", "# ");
    let problem = only(&text);
    assert_eq!((problem.kind, problem.key.as_str()), (ProblemKind::MissingKey, "criteria"));
    assert_eq!(problem.line, Some(text.trim_end().lines().count()));
    assert!(problem.advice.contains("your site asks for: there is no default"), "{problem}");
}

#[test]
fn fewer_than_three_sets_say_what_is_not_covered_yet() {
    let second = TEMPLATE.find("[[joint_set]]\nname = \"B\"").unwrap();
    let third = TEMPLATE.find("[[joint_set]]\nname = \"C\"").unwrap();
    let limits = TEMPLATE.find("# Caps on").unwrap();
    let two = format!("{}{}", &TEMPLATE[..third], &TEMPLATE[limits..]);
    let problem = only(&two);
    assert_eq!((problem.key.as_str(), problem.found.as_str()), ("joint_set", "2 joint sets"));
    assert_eq!(problem.line, Some(line_of(&two, "[[joint_set]]").max(line_of(&two, "name = \"A\"") - 1)));
    assert!(problem.advice.contains("single planes are not covered yet"));
    let one = format!("{}{}", &TEMPLATE[..second], &TEMPLATE[limits..]);
    assert_eq!(only(&one).found, "1 joint set");
}

#[test]
fn the_same_bolt_twice_and_an_anchor_longer_than_its_bolt() {
    let bolt = "[[bolt]]\nname = \"resin rebar 20 mm\"\nkind = \"resin\"\nsteel_kn = 1\nbond_kn_per_m = 1\nplate_kn = 0\n";
    let text = format!("{TEMPLATE}\n{bolt}");
    let problem = only(&text);
    assert_eq!(problem.key, "bolt[2].name");
    assert!(problem.found.contains("the name of the bolt on line"), "{problem}");

    let text = changed(BOND, "anchor_kn = 80.0\nanchor_length_m = 2.35 #")
        .replace("kind = \"resin\"", "kind = \"mechanical\"");
    let problem = only(&text);
    assert_eq!(problem.key, "pattern[1].length_m");
    assert!(problem.found.contains("less than its anchor_length_m 2.35"), "{problem}");
}

#[test]
fn a_pattern_that_lays_no_collar_is_refused() {
    let text = changed("[\"back\", \"walls\"]", "[\"left wall\"]")
        .replace("\nspacing_m = 1.2 ", "\nspacing_m = 40.0 ");
    let problem = only(&text);
    assert_eq!(problem.key, "pattern[1].covers");
    assert!(problem.found.contains("lays no collar"), "{problem}");
}

#[test]
fn notes_keep_nothing_from_being_checked() {
    let spare =
        "[[bolt]]\nname = \"spare\"\nkind = \"cable\"\nsteel_kn = 1\nbond_kn_per_m = 1\nplate_kn = 0\n";
    let text = format!("{}\n{spare}", changed("unit_weight_kn_m3 = 27.0", "unit_weight_kn_m3 = 2.7"))
        .replace("min_fs_sliding = 1.5", "min_fs_sliding = 0.9")
        .replace("# tension_kn = 50.0", "tension_kn = 130.0");
    let notes = read(&text).unwrap().notes;
    let keys: Vec<&str> = notes.iter().map(|n| n.key.as_str()).collect();
    assert_eq!(
        keys,
        ["rock.unit_weight_kn_m3", "criteria.min_fs_sliding", "pattern[1].tension_kn", "bolt[2].name"]
    );
    assert!(notes.iter().all(|n| n.kind == ProblemKind::Note && n.line.is_some()));
    assert!(notes[3].to_string().contains("note: no pattern uses the bolt \"spare\""), "{}", notes[3]);
    let text = changed("[\"back\", \"walls\"]", "[\"back\"]");
    assert!(read(&text).unwrap().notes[0].found.contains("does nothing where no wall is covered"));
}

#[test]
fn sets_whose_names_differ_in_case_alone_are_two_sets() {
    let read = read(&changed("name = \"B\"", "name = \"a\"")).unwrap();
    assert_eq!(read.case.joints[1].name, "a");
}

#[test]
fn an_overturned_twin_is_the_same_plane() {
    // 90/048 and 90/228 are one vertical plane.
    let text = changed("dip_deg = 66.0 ", "dip_deg = 90.0 ")
        .replace(SET_B, "name = \"B\"\ndip_deg = 90.0\ndip_direction_deg = 228.0");
    assert!(only(&text).found.contains("0.000° from set \"A\""));
}

#[test]
fn ten_mistakes_at_once_are_ten_problems_in_the_order_of_the_file() {
    let changes = [
        ("plunge_deg = 0.0", "plunge_deg = 120", "drive.plunge_deg"),
        ("rise_m = 1.6", "rise_m = 3.0", "drive.section.rise_m"),
        ("round_length_m = 3.6", "round_length_m = \"3.6\"", "drive.round_length_m"),
        ("unit_weight_kn_m3", "unit_wieght_kn_m3", "rock.unit_wieght_kn_m3"),
        ("dip_deg = 66.0 ", "dip_deg = nan ", "joint_set[1].dip_deg"),
        ("name = \"C\"\n", "name = \"B\" # again\n", "joint_set[3].name"),
        ("min_fs_falling = 2.0", "min_fs_falling = -2.0", "criteria.min_fs_falling"),
        ("kind = \"resin\"", "kind = \"rebar\"", "bolt[1].kind"),
        ("bolt = \"resin rebar 20 mm\"", "bolt = \"cable\"", "pattern[1].bolt"),
        ("outside_hole_m = 0.1", "outside_hole_m = 2.3", "pattern[1].outside_hole_m"),
    ];
    let mut text = TEMPLATE.to_owned();
    for (from, to, _) in changes {
        text = text.replacen(from, to, 1);
    }
    let problems = read(&text).unwrap_err();
    let keys: Vec<&str> = problems.list().iter().map(|p| p.key.as_str()).collect();
    assert_eq!(keys, changes.map(|(_, _, key)| key));
    for (problem, (_, to, _)) in problems.list().iter().zip(changes) {
        assert_eq!(problem.line, Some(line_of(&text, to.trim())));
    }
}

#[test]
fn a_broken_line_does_not_hide_the_others() {
    let text =
        changed("dip_deg = 66.0 ", "dip_deg = 66,0 ").replace("friction_deg = 30.0", "friction_deg = 95.0");
    let problems = read(&text).unwrap_err();
    let keys: Vec<&str> = problems.list().iter().map(|p| p.key.as_str()).collect();
    assert_eq!(keys, ["dip_deg", "joint_set[2].friction_deg"], "{problems}");
}

/// What a file says of planning is looked at with all else of it: a line that is no TOML hides neither
/// a broken number of holes nor one of rings.
#[test]
fn numbers_that_have_to_be_whole_are_said_in_the_same_run() {
    let plan = "\n[plan.reach]\nrings = 1.5\n\n[[plan.service]]\nname = \"pipes\"\nevery_m = 3.0\nholes = 2.5\nlength_m = 1.0\n";
    let text = changed("dip_deg = 66.0 ", "dip_deg = 66,0 ") + plan;
    let problems = read(&text).unwrap_err();
    let keys: Vec<&str> = problems.list().iter().map(|p| p.key.as_str()).collect();
    assert_eq!(keys, ["dip_deg", "plan.reach.rings", "plan.service[1].holes"], "{problems}");
    let holes = &problems.list()[2];
    assert_eq!((holes.found.as_str(), holes.allowed.as_str()), ("2.5", "a whole number from 1 to 100"));
    assert!(holes.advice.contains("a whole number"), "{holes}");
}

/// An option has tables of its own under `option`, and shares the criteria of its case.
#[test]
fn tables_of_options_are_named_as_they_are_written() {
    let advice = |option: &str| {
        let problems = read(&format!("{TEMPLATE}\n[[option]]\nname = \"other\"\n{option}")).unwrap_err();
        assert_eq!(problems.list().len(), 1, "{problems}");
        problems.list()[0].advice.clone()
    };
    for criteria in ["[[option.criteria]]", "[option.criteria]"] {
        let said = advice(&format!("{criteria}\nmin_fs_falling = 1.5\n"));
        assert_eq!(
            said,
            "no option changes criteria: write [criteria] once, for the case and all its options"
        );
    }
    assert_eq!(
        advice("[option.pattern]\nspacing_m = 1.0\n"),
        "write [[option.pattern]] with double brackets over each of them"
    );
    assert_eq!(
        advice("[[option.drive]]\nround_length_m = 3.0\n"),
        "write [option.drive] once, with single brackets"
    );
}

#[test]
fn what_cannot_be_an_installation_is_refused_key_by_key() {
    let text = format!(
        "{TEMPLATE}\n[installation]\ncollar_tolerance_m = -0.1\nany_one_missing = \"yes\"\nineffective_share = 30\nseed = 1.5\nspin = 2\n"
    );
    let problems = read(&text).unwrap_err();
    for (key, allowed) in [
        ("installation.collar_tolerance_m", "a number from 0 to 5 metres"),
        ("installation.any_one_missing", "true or false"),
        ("installation.ineffective_share", "a number from 0 to 0.95"),
        ("installation.seed", "a whole number from 0"),
        ("installation.spin", "collar_tolerance_m"),
    ] {
        let found = problems.list().iter().find(|p| p.key == key);
        assert!(found.is_some_and(|p| p.to_string().contains(allowed)), "{key}: {problems}");
    }
    assert_eq!(problems.list().len(), 5);
    let good = text
        .replace("-0.1", "0.1")
        .replace("\"yes\"", "true")
        .replace("share = 30", "share = 0.3")
        .replace("1.5\nspin = 2", "7");
    let installation = read(&good).unwrap().case.installation;
    assert_eq!(installation.collar_tolerance_m, Some(0.1));
    assert_eq!(
        (installation.any_one_missing, installation.ineffective_share, installation.seed),
        (true, Some(0.3), 7)
    );
}

/// What is left out of a stock, and what is no list there, says what has to be written.
#[test]
fn lists_of_numbers_and_tables_of_a_table_are_called_what_they_are() {
    let text = format!("{TEMPLATE}\n[stock]\nring_spacings_m = 1.2\n[[stock.bolt]]\nbolt = \"nothing\"\n");
    let problems = read(&text).unwrap_err();
    let of = |key: &str| {
        problems.list().iter().find(|p| p.key == key).unwrap_or_else(|| panic!("no {key}: {problems}"))
    };
    assert_eq!(of("stock.spacings_m").allowed, "a list of numbers between square brackets");
    assert_eq!(of("stock.coverage").allowed, "tables under [[stock.coverage]]");
    let single = of("stock.ring_spacings_m");
    assert_eq!(single.allowed, "a list of numbers between square brackets");
    assert_eq!(single.advice, "put it between square brackets: ring_spacings_m = [1.2]");
}

/// Heights and places on the section are checked though the drive's direction is wrong.
#[test]
fn what_needs_the_section_alone_is_said_whatever_else_is_wrong_with_the_drive() {
    let text = changed("trend_deg = 35.0", "trend_deg = 350000.0").replacen(
        "lowest_collar_m = ",
        "lowest_collar_m = 99 # ",
        1,
    );
    let text = format!("{text}\n[[hung_load]]\nname = \"fan\"\nkn = 3\narc_m = 99\n");
    let problems = read(&text).unwrap_err().to_string();
    for key in ["drive.trend_deg", "pattern[1].lowest_collar_m", "hung_load[1].arc_m"] {
        assert!(problems.contains(&format!("{key}: found ")), "{key}: {problems}");
    }
}
