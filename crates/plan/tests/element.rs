//! Element files and measured spectra.

use plan::{
    project::{Bond, BridgeKind, GapShape, Layer, Mounting},
    read::{Attached, attachments, read_element, read_spectrum},
};

const PARTITION: &str = r#"
name = "Partition of my own board"
mounting = "building"

[[layer]]
kind = "board"
name = "hemp board"
thickness_mm = 20
density_kg_m3 = 900
youngs_modulus_gpa = 3.1
loss_factor = 0.03
poisson = 0.25
sheets = 2
bond = "glued"

[[layer]]
kind = "cavity"
depth_mm = 100
fill_mm = 80
flow_resistivity_pa_s_m2 = 9000
density_kg_m3 = 40

[[layer]]
kind = "board"
material = "plasterboard-12.5"
sheets = 2

[[bridge]]
kind = "steel-stud"
spacing_mm = 600
steel_mm = 0.6

[[gap]]
where = "foot"
length_m = 4
width_mm = 0.5
depth_mm = 65
"#;

fn said(text: &str) -> Vec<String> {
    read_element(text, "wall.toml", &Attached::new()).1.iter().map(ToString::to_string).collect()
}

#[test]
fn own_data_make_an_element() {
    let (element, found) = read_element(PARTITION, "wall.toml", &Attached::new());
    assert!(found.is_empty(), "{found:?}");
    let file = element.unwrap();
    assert_eq!((file.width_m, file.height_m, file.mounting), (4.0, 2.5, Mounting::Building));
    let Layer::Leaf(first) = &file.element.layers[0] else { panic!("a leaf first") };
    assert_eq!((first.sheets, first.bond, first.own.density_kg_m3), (2, Bond::Glued, Some(900.0)));
    let Layer::Cavity(cavity) = &file.element.layers[1] else { panic!("then a cavity") };
    assert_eq!((cavity.fill_mm, cavity.flow_resistivity_pa_s_m2), (80.0, Some(9000.0)));
    let bridge = &file.element.bridges[0];
    assert_eq!((bridge.kind, bridge.cavity, bridge.spacing_mm), (BridgeKind::SteelStud, 0, Some(600.0)));
    assert_eq!(file.gaps[0].shape, GapShape::Slit { length_m: 4.0, width_mm: 0.5 });
}

#[test]
fn measured_values_may_replace_the_layers() {
    let text = "name = \"Bought door\"\nmeasured = { \"100\" = 25.0, \"125\" = 27.5, \"3150\" = 38 }\n";
    let (element, found) = read_element(text, "door.toml", &Attached::new());
    assert!(found.is_empty(), "{found:?}");
    let measured = element.unwrap().element.measured.unwrap();
    assert_eq!(measured.len(), 3);
    assert_eq!(measured.get(bands::Band::from_nominal_hz(125.0).unwrap()), Some(27.5));
}

#[test]
fn measured_values_may_stand_in_a_file_of_their_own() {
    let text = "name = \"Bought door\"\nmeasured_csv = \"door.csv\"\n";
    assert_eq!(attachments(text), ["door.csv"]);
    let mut files = Attached::new();
    assert_eq!(
        said(text),
        [
            "wall.toml:2:16: The file `door.csv` was not found. Put it into the folder of this file, with rows such as 125,27.5 \
          under the header frequency_hz,value_db."
        ]
    );
    files.insert("door.csv".into(), "frequency_hz,value_db\n100,25\n125,27.5\n".into());
    let (element, found) = read_element(text, "door.toml", &files);
    assert!(found.is_empty(), "{found:?}");
    assert_eq!(element.unwrap().element.measured.map(|m| m.len()), Some(2));
    files.insert("door.csv".into(), "frequency_hz,value_db\n110,25\n".into());
    let (element, found) = read_element(text, "door.toml", &files);
    assert!(element.is_none());
    assert_eq!(
        found[0].to_string(),
        "door.toml:2:16: `door.csv`, line 2: 110 Hz is no third-octave band. The nearest is \"100\"."
    );
}

#[test]
fn a_typed_spectrum_says_which_row_is_wrong() {
    let text = "\u{feff}frequency_hz,value_db\r\n100,25\r\n100,26\r\n125,a\r\n160,300\r\n";
    let (readings, found) = read_spectrum(text, "r.csv");
    assert!(readings.is_none());
    let said: Vec<String> = found.iter().map(ToString::to_string).collect();
    assert_eq!(
        said,
        [
            "r.csv:3:1: The band 100 Hz stands here a second time. Keep one row for each band.",
            "r.csv:4:1: `125,a` is no row of a spectrum. Write the band in hertz, a comma, and the value in decibels with a \
             point: 125,27.5",
            "r.csv:5:1: 300 dB cannot be: a value must lie from -50 to 200 dB. Check the reading.",
        ]
    );
    for d in &found {
        assert!(
            text.get(d.labels[0].span.clone()).is_some_and(|t| t.starts_with(|c: char| c.is_ascii_digit()))
        );
    }
    let (none, found) = read_spectrum("", "r.csv");
    assert!(none.is_none() && found.len() == 1);
}

#[test]
fn mistakes_of_an_element_are_said() {
    let with = |from: &str, to: &str| {
        assert!(PARTITION.contains(from), "{from}");
        said(&PARTITION.replacen(from, to, 1)).join("\n")
    };
    assert_eq!(
        with("youngs_modulus_gpa = 3.1\n", ""),
        "wall.toml:5:1: This layer has no `material`, so it also needs `youngs_modulus_gpa`. Name a board or door leaf of the \
         catalogue as `material`, or give your own data."
    );
    assert_eq!(
        with("density_kg_m3 = 900", "density_kg_m3 = 900\nmass_kg_m2 = 30"),
        "wall.toml:10:14: Density times thickness gives 18 kg/m², but `mass_kg_m2` says 30. Keep two of `density_kg_m3`, \
         `thickness_mm` and `mass_kg_m2`; the third follows."
    );
    assert_eq!(
        with("spacing_mm = 600", "cavity = 2"),
        "wall.toml:28:1: The element \"Partition of my own board\" has 1 cavity, so a bridge cannot cross cavity 2. Write the \
         cavity it crosses as a layer, or take the bridge away."
    );
    assert_eq!(
        with("flow_resistivity_pa_s_m2 = 9000\n", ""),
        "wall.toml:19:11: `fill_mm` stands here, but no fibre does. Name the fibre, such as `fill = \"mineral-wool-20kg\"`, or \
         take `fill_mm` away."
    );
    assert_eq!(
        with("kind = \"steel-stud\"", "kind = \"stud\""),
        "wall.toml:29:8: `kind` cannot be \"stud\". Did you mean \"steel-stud\"? Known are \"timber-stud\", \"steel-stud\", \
         \"staggered-studs\", \"double-studs\", \"resilient-channel\", \"clip\", \"wall-tie\", \"dab\", \"rigid-point\", \
         \"common-frame\" or \"none\"."
    );
    assert_eq!(
        said("name = \"x\"\nmeasured = { \"110\" = 5 }\n"),
        ["wall.toml:2:14: `110` is no third-octave band. The nearest is \"100\"."]
    );
    assert_eq!(
        said("name = \"x\"\n"),
        [
            "wall.toml:1:1: The element \"x\" has no layer. Write a [[layer]] for each layer from outside to inside, or give \
          `measured` values."
        ]
    );
}
