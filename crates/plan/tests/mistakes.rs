//! Room files with one mistake each: a clear sentence of what is wrong and what to do, at the right line, and never
//! a panic.

use plan::Severity;

const ROOM: &str = include_str!("rooms/workshop.toml");

struct Mistake {
    /// What is changed in the room, at the first place it stands.
    from: &'static str,
    /// What then stands there.
    to: &'static str,
    /// Text whose first place is in the line that must be pointed at.
    at: &'static str,
    /// All that must be said.
    says: &'static str,
}

const MISTAKES: &[Mistake] = &[
    Mistake {
        from: "headroom_mm = 2250",
        to: "headrom_mm = 2250",
        at: "headrom_mm = 2250        # lessons are given",
        says: "[limits] has no key `headrom_mm`. Did you mean `headroom_mm`?",
    },
    Mistake {
        from: "headroom_mm = 2250",
        to: "headroom = 2250",
        at: "headroom = 2250        # lessons are given s",
        says: "[limits] has no key `headroom`. Did you mean `headroom_mm`?",
    },
    Mistake {
        from: "lift_kg = 40",
        to: "kerf_mm = 40",
        at: "kerf_mm = 40              # what two people",
        says: "[limits] has no key `kerf_mm`. `kerf_mm` belongs in [rules].",
    },
    Mistake {
        from: "[limits]",
        to: "[limit]",
        at: "[limit]",
        says: "The file has no table `limit`. Did you mean `limits`?",
    },
    Mistake {
        from: "[[opening]]\nname = \"window\"",
        to: "[[openings]]\nname = \"window\"",
        at: "[[openings]]",
        says: "The file has no table `openings`. Did you mean `opening`?",
    },
    Mistake {
        from: "drawn_by =",
        to: "bench_colour =",
        at: "bench_colour = \"the person who will build it",
        says: "[project] has no key `bench_colour`. Known here are `name`, `place`, `drawn_by`, `date`, `revision`, `north_deg`.",
    },
    Mistake {
        from: "headroom_mm = 2250",
        to: "headroom_mm = \"2250\"",
        at: "headroom_mm = \"2250\"        # lessons are gi",
        says: "`headroom_mm` must be a number; here stands text. Leave the quotes away: `headroom_mm = 2250`.",
    },
    Mistake {
        from: "headroom_mm = 2250",
        to: "headroom_mm = true",
        at: "headroom_mm = true        # lessons are give",
        says: "`headroom_mm` must be a number; here stands true or false. `headroom_mm`: Least clear height under the finished ceiling.",
    },
    Mistake {
        from: "corners = [\"A\", \"B\", \"C\", \"D\", \"E\"]",
        to: "corners = \"ABCDE\"",
        at: "corners = \"ABCDE\"",
        says: "`corners` must be a list in square brackets; here stands text. `corners`: Names of the corners in the order of the ring: at least three, each once.",
    },
    Mistake {
        from: "vented = true",
        to: "vented = \"yes\"",
        at: "vented = \"yes\"",
        says: "`vented` must be true or false, without quotes; here stands text. `vented`: Whether outside air moves through it.",
    },
    Mistake {
        from: "people = 3",
        to: "people = 2.5",
        at: "people = 2.5",
        says: "`people` must be a whole number, not 2.5. Write `people = 3`.",
    },
    Mistake {
        from: "name = \"Percussion room\"",
        to: "name = 5",
        at: "name = 5",
        says: "`name` must be text in quotes; here stands a number. `name`: What the room is called.",
    },
    Mistake {
        from: "[limits]",
        to: "[[limits]]",
        at: "[[limits]]",
        says: "There can be only one [limits]. Write the header with single brackets, [limits], once in the file.",
    },
    Mistake {
        from: "[roof]\nkind",
        to: "[[roof]]\nkind",
        at: "[[roof]]",
        says: "There can be only one [roof]. Write the header with single brackets, [roof], once in the file.",
    },
    Mistake {
        from: "fall_mm_per_m = 25",
        to: "fall_mm_per_m = 2500",
        at: "fall_mm_per_m = 2500        # firrings, fall",
        says: "`fall_mm_per_m` cannot be 2500 mm/m: it must lie from 0 to 1000 mm/m. `fall_mm_per_m`: Fall of the roof's surface.",
    },
    Mistake {
        from: "floor_mm = 5233",
        to: "floor_mm = 5.233",
        at: "floor_mm = 5.233",
        says: "`floor_mm` cannot be 5.233 mm: it must lie from 100 to 50000 mm. If that was meant in metres, write `floor_mm = 5233`.",
    },
    Mistake {
        from: "distance_m = 6\n",
        to: "distance_m = 0\n",
        at: "distance_m = 0",
        says: "`distance_m` cannot be 0 m: it must lie from 0.2 to 2000 m. `distance_m`: Outdoors: how far out from that wall; a receiver stands in front of it.",
    },
    Mistake {
        from: "distance_m = 6\n",
        to: "distance_m = 6000\n",
        at: "distance_m = 6000",
        says: "`distance_m` cannot be 6000 m: it must lie from 0.2 to 2000 m. If that was meant in millimetres, write `distance_m = 6`.",
    },
    Mistake {
        from: "level_dba = 106",
        to: "level_dba = 206",
        at: "level_dba = 206          # energy-average in",
        says: "`level_dba` cannot be 206 dB(A): it must lie from 20 to 140 dB(A). `level_dba`: Energy-average level in the room while it sounds; without it the catalogue's.",
    },
    Mistake {
        from: "price = 6.40",
        to: "price = -6.40",
        at: "price = -6.40",
        says: "`price` cannot be -6.4: it must lie from 0 to 100000. `price`: Price of one.",
    },
    Mistake {
        from: "level_dba = 106",
        to: "level_dba = nan",
        at: "level_dba = nan          # energy-average in",
        says: "`level_dba` is no usable number: it must lie from 20 to 140 dB(A). `level_dba`: Energy-average level in the room while it sounds; without it the catalogue's.",
    },
    Mistake {
        from: "people = 3",
        to: "people = 0",
        at: "people = 0",
        says: "`people` cannot be 0: it must lie from 1 to 200. `people`: How many people.",
    },
    Mistake {
        from: "humidity_class = 3",
        to: "humidity_class = 6",
        at: "humidity_class = 6",
        says: "`humidity_class` cannot be 6: it must lie from 1 to 5. `humidity_class`: How damp the use makes the room, EN ISO 13788.",
    },
    Mistake {
        from: "from = \"A\"\nto = \"B\"\n",
        to: "from = \"A\"\n",
        at: "[[survey.tape]]",
        says: "[[survey.tape]] needs the key `to`. Corner it reaches. For example: `to = \"A\"`.",
    },
    Mistake {
        from: "ceiling_mm = 4232\n",
        to: "",
        at: "[[survey.tape]]\nfrom = \"C\"",
        says: "The tape C-D has no reading. Write the length as `floor_mm`, as `ceiling_mm`, or both; the ceiling is set out from the latter.",
    },
    Mistake {
        from: "[ceiling]\nbuildup = \"roof\"\n",
        to: "",
        at: "# A room file with one of everything",
        says: "The table [ceiling] is missing. What the ceiling is built of. Write a header [ceiling] and its keys under it, such as `buildup`.",
    },
    Mistake {
        from: "laser_above_floor_mm = 1200\n",
        to: "",
        at: "[survey]",
        says: "The joists are levelled from a laser line, but the height of that line is missing. Write `laser_above_floor_mm` in [survey]: the height of the line above the floor.",
    },
    Mistake {
        from: "kind = \"cold-flat\"\n",
        to: "",
        at: "[roof]",
        says: "[roof] needs the key `kind`. How it is built. For example: `kind = \"cold-flat\"`.",
    },
    Mistake {
        from: "format = 1\n",
        to: "",
        at: "# A room file with one of everything",
        says: "The key `format` is missing at the top of the file. Version of the format of this file. For example: `format = 1`.",
    },
    Mistake {
        from: "between = \"D-E\"\nbuildup = \"party-wall\"",
        to: "between = \"D-E\"\n#buildup = \"party-wall\"",
        at: "[[wall]]\nbetween = \"D-E\"",
        says: "[[wall]] \"D-E\" needs the key `buildup`. Its build-up. For example: `buildup = \"roof\"`.",
    },
    Mistake {
        from: "to = \"B\"\nfloor_mm",
        to: "to = \"F\"\nfloor_mm",
        at: "to = \"F\"",
        says: "The ring has no corner `F`. The corners are `A`, `B`, `C`, `D`, `E`. A further corner must stand in `corners` of [survey].",
    },
    Mistake {
        from: "wall = \"C-D\"\ngap_mm",
        to: "wall = \"A-D\"\ngap_mm",
        at: "wall = \"A-D\"",
        says: "`A-D` is no wall of the ring. The walls are `A-B`, `B-C`, `C-D`, `D-E`, `E-A`.",
    },
    Mistake {
        from: "wall = \"B-C\"\ngap_mm",
        to: "wall = \"C-B\"\ngap_mm",
        at: "wall = \"C-B\"",
        says: "`C-B` is not how that wall is named. Write \"B-C\": a wall is named in the order of the ring, and running dimensions start from its first corner.",
    },
    Mistake {
        from: "wall = \"B-C\"\ngap_mm",
        to: "wall = \"B-X\"\ngap_mm",
        at: "wall = \"B-X\"",
        says: "There is no wall `B-X`. The walls are `A-B`, `B-C`, `C-D`, `D-E`, `E-A`.",
    },
    Mistake {
        from: "element = \"E-A\"",
        to: "element = \"dor\"",
        at: "element = \"dor\"",
        says: "The room has no part `dor`. Did you mean \"door\"? The parts are `ceiling`, `A-B`, `B-C`, `C-D`, `D-E`, `E-A`, `window`, `door`.",
    },
    Mistake {
        from: "material = \"osb-18\"",
        to: "material = \"osb-81\"",
        at: "material = \"osb-81\"",
        says: "The catalogue has no board or door leaf `osb-81`. Did you mean `osb-18`?",
    },
    Mistake {
        from: "material = \"osb-18\"",
        to: "material = \"brick-102\"",
        at: "material = \"brick-102\"",
        says: "The catalogue has no board or door leaf `brick-102`. That id is of another kind: masonry. Choose a board or door leaf, or check the `kind` beside it.",
    },
    Mistake {
        from: "fill = \"mineral-wool-20kg\"",
        to: "fill = \"glas-wool\"",
        at: "fill = \"glas-wool\"",
        says: "The catalogue has no fibre fill `glas-wool`. Did you mean `sheep-wool-18kg`?",
    },
    Mistake {
        from: "kind = \"drum-kit\"",
        to: "kind = \"drumkit\"",
        at: "kind = \"drumkit\"",
        says: "The catalogue has no source of sound `drumkit`. Did you mean `drum-kit`?",
    },
    Mistake {
        from: "seal = \"compression-seal\"",
        to: "seal = \"compresion-seal\"",
        at: "seal = \"compresion-seal\"",
        says: "The catalogue has no seal `compresion-seal`. Did you mean `compression-seal`?",
    },
    Mistake {
        from: "grade = \"unknown\"",
        to: "grade = \"C17\"",
        at: "grade = \"C17\"         # old timber, no stamp",
        says: "The catalogue has no timber grade `C17`. Did you mean `c16`?",
    },
    Mistake {
        from: "activity = \"playing-drums\"",
        to: "activity = \"playing-drum\"",
        at: "activity = \"playing-drum\"",
        says: "The catalogue has no activity `playing-drum`. Did you mean `playing-drums`?",
    },
    Mistake {
        from: "buildup = \"cavity-wall\"",
        to: "buildup = \"cavity-wal\"",
        at: "buildup = \"cavity-wal\"",
        says: "There is no build-up `cavity-wal`. Did you mean \"cavity-wall\"? The build-ups are `roof`, `cavity-wall`, `party-wall`, `window`, `door`.",
    },
    Mistake {
        from: "kind = \"door\"",
        to: "kind = \"gate\"",
        at: "kind = \"gate\"",
        says: "`kind` cannot be \"gate\". Write \"window\", \"door\" or \"hatch\".",
    },
    Mistake {
        from: "faces = \"outside\"",
        to: "faces = \"outdoors\"",
        at: "faces = \"outdoors\"",
        says: "`faces` cannot be \"outdoors\". Write \"outside\", \"building\", \"neighbour\" or \"ground\".",
    },
    Mistake {
        from: "kind = \"membrane\"\nmaterial = \"felt",
        to: "kind = \"felt\"\nmaterial = \"felt",
        at: "kind = \"felt\"",
        says: "A layer cannot be of the kind \"felt\". Write \"board\", \"masonry\", \"glass\", \"membrane\" or \"cavity\".",
    },
    Mistake {
        from: "corners = [\"A\", \"B\", \"C\", \"D\", \"E\"]",
        to: "corners = [\"A\", \"B\", \"C\", \"D\", \"D\"]",
        at: "corners = [\"A\", \"B\", \"C\", \"D\", \"D\"]",
        says: "The corner `D` stands twice in the ring. Name each corner once; the ring closes by itself.",
    },
    Mistake {
        from: "corners = [\"A\", \"B\", \"C\", \"D\", \"E\"]",
        to: "corners = [\"A\", \"B\"]",
        at: "corners = [\"A\", \"B\"]",
        says: "A room has at least three corners; here stand 2. Name every corner in the order of the ring, such as corners = [\"A\", \"B\", \"C\", \"D\"].",
    },
    Mistake {
        from: "corners = [\"A\", \"B\", \"C\", \"D\", \"E\"]",
        to: "corners = [\"A-1\", \"B\", \"C\", \"D\", \"E\"]",
        at: "corners = [\"A-1\", \"B\", \"C\", \"D\", \"E\"]",
        says: "`A-1` cannot be the name of a corner. Use one to eight letters or digits, such as \"A\" or \"A1\": walls are named A-B after them.",
    },
    Mistake {
        from: "ceiling_mm = 6546",
        to: "ceiling_mm = 9546",
        at: "ceiling_mm = 9546",
        says: "The tape A-C cannot be 9546 mm: over corner `D` it is only 8296 mm. One of A-C, A-D and D-C is wrong. Read them again.",
    },
    Mistake {
        from: "from = \"D\"\nto = \"E\"",
        to: "from = \"D\"\nto = \"D\"",
        at: "to = \"D\"\nceiling_mm = 1415",
        says: "This tape goes from corner `D` to itself. Name the corner at the other end of the tape.",
    },
    Mistake {
        from: "gap_mm = -4",
        to: "gap_mm = -4\n\n[[survey.bow]]\nwall = \"B-C\"\ngap_mm = 2",
        at: "wall = \"B-C\"\ngap_mm = 2",
        says: "The bow of wall B-C stands here a second time. Keep the larger gap.",
    },
    Mistake {
        from: "width_mm = 1180",
        to: "width_mm = 4180",
        at: "width_mm = 4180",
        says: "The window \"window\" is 4180 mm wide, but the wall B-C is only 3868 mm long. Check the width, and whether it is in that wall.",
    },
    Mistake {
        from: "from_corner_mm = 1240",
        to: "from_corner_mm = 3240",
        at: "from_corner_mm = 3240    # from B to the nea",
        says: "The window \"window\" reaches 552.5 mm beyond the wall B-C, which is 3868 mm long. `from_corner_mm` counts from corner B. Check it and the width.",
    },
    Mistake {
        from: "height_mm = 760\nsill",
        to: "height_mm = 1760\nsill",
        at: "height_mm = 1760",
        says: "The window \"window\" reaches 2910 mm above the floor, but the wall B-C is only 2340 mm high. Check its height above the floor and its own height.",
    },
    Mistake {
        from: "name = \"door\"",
        to: "name = \"window\"",
        at: "name = \"window\"\nwall = \"E-A\"",
        says: "There are two [[opening]] with the name \"window\". The first stands in line 320. Give each its own name.",
    },
    Mistake {
        from: "wall = \"E-A\"\nkind = \"door\"",
        to: "wall = \"B-C\"\nkind = \"door\"",
        at: "from_corner_mm = 1650    # from E",
        says: "The door \"door\" and the window \"window\" overlap by 770 mm in the wall B-C. Check `from_corner_mm` and the widths: both count from the wall's first corner.",
    },
    Mistake {
        from: "wall = \"C-D\"\nfrom_corner_mm = 700",
        to: "wall = \"B-C\"\nfrom_corner_mm = 1500",
        at: "from_corner_mm = 1500     # from C to its mi",
        says: "The vent \"air path\" and the window \"window\" overlap by 200 mm in the wall B-C. Check `from_corner_mm` and the widths: both count from the wall's first corner.",
    },
    Mistake {
        from: "name = \"door\"\n",
        to: "name = \"ceiling\"\n",
        at: "name = \"ceiling\"",
        says: "An opening cannot be called \"ceiling\". The ceiling and the walls have that name already. Take another, such as \"window\".",
    },
    Mistake {
        from: "from_mm = 5086",
        to: "from_mm = 5486",
        at: "from_mm = 5486",
        says: "The joist \"J12\" lies 5486 mm along the wall A-B, which is only 5234 mm long. `from_mm` counts from corner A. Read it again, or name another wall.",
    },
    Mistake {
        from: "name = \"J2\"",
        to: "name = \"J1\"",
        at: "name = \"J1\"\nfrom_mm = 658",
        says: "There are two [[joist]] with the name \"J1\". The first stands in line 115. Give each its own name.",
    },
    Mistake {
        from: "from_mm = 1563",
        to: "from_mm = 1110",
        at: "from_mm = 1110",
        says: "The joists \"J3\" and \"J4\" lie in each other: 9 mm apart, and 88 mm wide. `from_mm` is the running dimension to the middle of each. Read them again.",
    },
    Mistake {
        from: "to_mm = 3277",
        to: "to_mm = 3877",
        at: "to_mm = 3877",
        says: "The joists \"J4\" and \"J5\" cross. Along opposite walls of a ring, running dimensions go in opposite directions: as one grows, the other falls.",
    },
    Mistake {
        from: "from_wall = \"A-B\"         # running",
        to: "#from_wall = \"A-B\"         # running",
        at: "[joists]",
        says: "The joist \"J1\" has no `from_wall`. Write `from_wall` in [joists] for all, or in each [[joist]].",
    },
    Mistake {
        from: "fill_mm = 100",
        to: "fill_mm = 160",
        at: "fill_mm = 160",
        says: "160 mm of fibre do not fit a cavity of 150 mm. Write at most `fill_mm = 150`: fibre that is pressed together insulates less.",
    },
    Mistake {
        from: "fill_mm = 100",
        to: "fill_mm = 120",
        at: "fill_mm = 120",
        says: "The fibre leaves 30 mm of air above it, but `vent_gap_mm` asks for 50 mm. Write at most `fill_mm = 100`: a cold roof rots without its air.",
    },
    Mistake {
        from: "[[buildup.layer]]\nkind = \"membrane\"\nmaterial = \"polyethylene-sheet-0.25\"\n",
        to: "",
        at: "[[buildup.layer]]\nkind = \"cavity\"          # the clip's drop of 15 and the bar's 22",
        says: "The build-up \"roof\" has two cavities next to each other. Make them one cavity, or write what lies between them, if only a membrane.",
    },
    Mistake {
        from: "[[buildup.layer]]\nkind = \"masonry\"\nmaterial = \"aggregate-block-dense-100\"\nplaster_inside_mm = 13\n",
        to: "",
        at: "[[buildup.layer]]\nkind = \"cavity\"\ndepth_mm = 50",
        says: "The build-up \"cavity-wall\" ends with a cavity, which nothing closes. Write the inner layer too, or take this cavity away. Layers go from outside to inside.",
    },
    Mistake {
        from: "depth_mm = 120\n",
        to: "depth_mm = 120\nthickness_mm = 3\n",
        at: "thickness_mm = 3",
        says: "`thickness_mm` belongs to a solid layer, but this layer is a cavity. Take the key away, or check the `kind` of the layer.",
    },
    Mistake {
        from: "material = \"osb-18\"\n",
        to: "",
        at: "[[buildup.layer]]\nkind = \"board\"",
        says: "This layer has no `material`, so it also needs `thickness_mm` and `density_kg_m3` or `mass_kg_m2` and `youngs_modulus_gpa`. Name a board or door leaf of the catalogue as `material`, or give your own data.",
    },
    Mistake {
        from: "material = \"brick-215\"\nplaster_inside_mm = 13\n",
        to: "material = \"brick-215\"\nplaster_inside_mm = 13\n\n[[buildup.bridge]]\nkind = \"wall-tie\"\n",
        at: "[[buildup.bridge]]\nkind = \"wall-tie\"\n\n[[buildup]]",
        says: "The build-up \"party-wall\" has a bridge, but no cavity for it to cross. Write the cavity it crosses as a layer, or take the bridge away.",
    },
    Mistake {
        from: "[[wall]]\nbetween = \"D-E\"\nbuildup = \"party-wall\"   # the breast itself is thicker: this errs on the safe side\nfaces = \"outside\"\nheight_mm = 2340\n",
        to: "",
        at: "corners = [\"A\", \"B\", \"C\", \"D\", \"E\"]",
        says: "The wall D-E has no [[wall]]. Write [[wall]] with between = \"D-E\", its `buildup` and its `height_mm`.",
    },
    Mistake {
        from: "between = \"D-E\"",
        to: "between = \"C-D\"",
        at: "corners = [\"A\", \"B\", \"C\", \"D\", \"E\"]",
        says: "The wall D-E has no [[wall]]. Write [[wall]] with between = \"D-E\", its `buildup` and its `height_mm`.\nThe wall C-D stands here a second time. The first stands in line 302. Keep one of them.",
    },
    Mistake {
        from: "headroom_mm = 2250",
        to: "headroom_mm = 2350",
        at: "headroom_mm = 2350        # lessons are give",
        says: "A headroom of 2350 mm cannot be kept: the wall A-B is only 2340 mm high. Lower `headroom_mm`, or correct `height_mm` of the wall; the new ceiling goes below it.",
    },
    Mistake {
        from: "headroom_mm = 2250",
        to: "headroom_mm = 1950",
        at: "headroom_mm = 1950        # lessons are give",
        says: "A headroom of 1950 mm is low. Most people want 2000 mm at least under a finished ceiling.",
    },
    Mistake {
        from: "name = \"bedroom window\"\nwall = \"B-C\"",
        to: "name = \"bedroom window\"\nwall = \"A-B\"",
        at: "wall = \"A-B\"\nalong_mm = 600",
        says: "The receiver \"bedroom window\" lies before the wall A-B, but behind that wall is another part of the building. Name a wall that faces outside, or correct `faces` of the wall.",
    },
    Mistake {
        from: "walls = [\"B-C\", \"C-D\"]",
        to: "walls = [\"B-C\", \"B-C\"]",
        at: "walls = [\"B-C\", \"B-C\"]",
        says: "The outside sound \"street\" names the wall B-C twice. Name each wall once.",
    },
    Mistake {
        from: "walls = [\"B-C\", \"C-D\"]",
        to: "walls = []",
        at: "walls = []",
        says: "The outside sound \"street\" falls on no wall. Name at least one wall, such as walls = [\"A-B\"].",
    },
    Mistake {
        from: "name = \"speech\"",
        to: "name = \"drum kit\"",
        at: "name = \"drum kit\"\nkind = \"voice-loud\"",
        says: "There are two [[source]] with the name \"drum kit\". The first stands in line 369. Give each its own name.",
    },
    Mistake {
        from: "limit_dba = 45\n",
        to: "",
        at: "[[receiver]]",
        says: "The receiver \"garden fence\" has no limit. Write at least one of `limit_dba`, `limit_nr` and `margin_db`: how quiet must it be there?",
    },
    Mistake {
        from: "background_dba = 36\n",
        to: "",
        at: "margin_db = 0            # no louder than th",
        says: "`margin_db` counts from the quiet at the receiver, but the key `background_dba` is missing. Write `background_dba`, or use `limit_dba` instead of `margin_db`.",
    },
    Mistake {
        from: "inside = true",
        to: "inside = true\nheight_m = 1.2",
        at: "height_m = 1.2",
        says: "A receiver inside the room has no `height_m`. Take it away, or take `inside = true` away.",
    },
    Mistake {
        from: "along_mm = 1900          # from B\n",
        to: "",
        at: "[[receiver]]",
        says: "The receiver \"garden fence\" needs `along_mm` too. Outdoors it needs `wall`, `along_mm`, `distance_m` and `height_m`; in the room write `inside = true`.",
    },
    Mistake {
        from: "[[vent]]\nname = \"air path\"\nwall = \"C-D\"\nfrom_corner_mm = 700     # from C to its middle\nabove_floor_mm = 2000\nduct_width_mm = 200\nduct_height_mm = 200\nlined_length_mm = 2400\nlining = \"mineral-wool-60kg\"\nlining_mm = 25\nbends = 2\n",
        to: "",
        at: "fresh_air_l_s = 24",
        says: "3 people shall get 24 l/s of fresh air, but the room has no air path. Write a [[vent]] for it. A tight room without one is not safe to stay in.",
    },
    Mistake {
        from: "temperature_c = [4.2, 4.4,",
        to: "temperature_c = [4.2,",
        at: "temperature_c = [4.2, 6.5, 8.7, 11.9, 14.8,",
        says: "`temperature_c` must be one number for each month, January first; here stand 11. Write 12 numbers in square brackets, separated by commas.",
    },
    Mistake {
        from: "humidity_percent = [88,",
        to: "humidity_percent = [108,",
        at: "humidity_percent = [108, 85, 81, 77, 76, 76,",
        says: "`humidity_percent` cannot be 108 %: it must lie from 5 to 100 %. `humidity_percent`: Relative humidity of each month.",
    },
    Mistake {
        from: "hole_mm = 12\n",
        to: "",
        at: "[[gap]]\nwhere = \"cable hole to the yard\"",
        says: "A gap needs its size. Write `length_m` and `width_mm` for a slit, or `hole_mm` for a round hole.",
    },
    Mistake {
        from: "hole_mm = 12\n",
        to: "hole_mm = 12\nlength_m = 1\n",
        at: "[[gap]]\nwhere = \"cable hole to the yard\"",
        says: "A gap cannot be a slit and a round hole at once. Write `length_m` and `width_mm` for a slit, or `hole_mm` for a round hole.",
    },
    Mistake {
        from: "product = \"resilient-clip-low\"\nrated",
        to: "product = \"resilient-clip\"\nrated",
        at: "product = \"resilient-clip\"",
        says: "The clip to buy is `resilient-clip`, but `resilient-clip-low` carries the ceiling. Name the same clip in [stock.clip] and in the [[buildup.bridge]] of the ceiling.",
    },
    Mistake {
        from: "what = \"tape\"",
        to: "what = \"screws\"\npack_size = 500\nunit = \"pieces\"\n\n[[stock.item]]\nwhat = \"tape\"",
        at: "what = \"screws\"\npack_size = 500\nunit = \"pieces\"\n\n[[stock.item]]",
        says: "\"screws\" stands here a second time with the same pack size. Keep one of them, or correct `pack_size`.",
    },
    Mistake {
        from: "stagger_rows_mm = 300",
        to: "stagger_rows_mm = 900",
        at: "stagger_rows_mm = 900",
        says: "Joints cannot be 900 mm apart from row to row with boards `sand-filled-board-15` of 1200 mm. Write at most 600 mm: half the length of the shortest board.",
    },
    Mistake {
        from: "format = 1",
        to: "format = 7",
        at: "format = 7",
        says: "This file has format 7; this program reads format 1. Use a newer program. Nothing else in the file was looked at.",
    },
    Mistake {
        from: "format = 1",
        to: "format = 0",
        at: "format = 0",
        says: "This file has format 0; this program reads format 1. Write `format = 1`.",
    },
    Mistake {
        from: "headroom_mm = 2250",
        to: "headroom_mm 2250",
        at: "headroom_mm 2250        # lessons are given",
        says: "This line is neither a header nor a key with a value. Write key = value, [table] or # comment.",
    },
    Mistake {
        from: "headroom_mm = 2250",
        to: "headroom_mm: 2250",
        at: "headroom_mm: 2250        # lessons are given",
        says: "Between a key and its value stands an equals sign. Write headroom_mm = 2250",
    },
    Mistake {
        from: "headroom_mm = 2250",
        to: "headroom_mm = 2250mm",
        at: "headroom_mm = 2250mm        # lessons are gi",
        says: "`2250mm` is no number. Write the number alone, `headroom_mm = 2250`: the unit stands in the name of the key.",
    },
    Mistake {
        from: "headroom_mm = 2250",
        to: "headroom_mm = 2250,5",
        at: "headroom_mm = 2250,5        # lessons are gi",
        says: "`2250,5` is no number. Write decimals with a point: headroom_mm = 2250.5",
    },
    Mistake {
        from: "headroom_mm = 2250",
        to: "headroom_mm = 2 250",
        at: "headroom_mm = 2 250        # lessons are giv",
        says: "`2 250` is no number. Write it without spaces: headroom_mm = 2250",
    },
    Mistake {
        from: "headroom_mm = 2250",
        to: "headroom_mm =",
        at: "headroom_mm =        # lessons are given sta",
        says: "The key `headroom_mm` has no value. Write a value after the equals sign, or take the line away.",
    },
    Mistake {
        from: "name = \"Percussion room\"",
        to: "name = Percussion room",
        at: "name = Percussion room",
        says: "The text Percussion room needs quotes. Write name = \"Percussion room\"",
    },
    Mistake {
        from: "name = \"Percussion room\"",
        to: "name = “Percussion room”",
        at: "name = “Percussion room”",
        says: "These quotes are curly. Write straight quotes: \"…\".",
    },
    Mistake {
        from: "name = \"Percussion room\"",
        to: "name = \"Percussion room",
        at: "name = \"Percussion room",
        says: "This text is not closed. Close it with a quote sign in the same line: \"…\"",
    },
    Mistake {
        from: "[limits]",
        to: "[limits",
        at: "[limits",
        says: "This header is not closed as it was opened. A header has single brackets, [roof], or double ones, [[joist]], on both sides.",
    },
    Mistake {
        from: "up_from_laser_mm = [1138, 1133, 1146]",
        to: "up_from_laser_mm = [1138 1133, 1146]",
        at: "up_from_laser_mm = [1138 1133, 1146]",
        says: "A comma or a quote sign is missing in this list. Separate the values with commas: [1138, 1133, 1146]",
    },
    Mistake {
        from: "lift_kg = 40 ",
        to: "lift_kg = 40\nlift_kg = 50 ",
        at: "lift_kg = 50              # what two people",
        says: "The key `lift_kg` stands here a second time in the same table. Keep one of them.",
    },
    Mistake {
        from: "[joists]",
        to: "[limits]\nlift_kg = 3\n\n[joists]",
        at: "[limits]\nlift_kg = 3",
        says: "The table [limits] stands here a second time. Put all its keys under one header. Tables of which there can be several have double brackets.\nThe key `lift_kg` stands here a second time in the same table. Keep one of them.",
    },
    Mistake {
        from: "# Levels",
        to: "// Levels",
        at: "// Levels are read from a laser line; \"up\" m",
        says: "A comment starts with #. Write # before it.",
    },
    Mistake {
        from: "kind = \"cavity\"          # the clip's drop of 15 and the bar's 22\ndepth_mm = 37",
        to: "kind = \"cavity\"          # the clip's drop of 15 and the bar's 22\ndepth_mm = 25",
        at: "depth_mm = 25",
        says: "This cavity is 25 mm deep, but the clip drops 15 mm and the bar is 22 mm deep: 37 mm together. Write `depth_mm = 37`, or choose another clip or bar.",
    },
    Mistake {
        from: "ceiling_mm = 5235",
        to: "ceiling_mm = 5335",
        at: "ceiling_mm = 5335",
        says: "The tape A-B differs by 102 mm between floor and ceiling. That is much for walls to lean. Read the tape again.",
    },
    Mistake {
        from: "from_mm = 4281\nto_mm = 1004\nup_from_laser_mm = [1149, 1145, 1154]\n",
        to: "from_mm = 3941\nto_mm = 1344\nup_from_laser_mm = [1149, 1145, 1154]\n",
        at: "from_mm = 3941",
        says: "The joists \"J9\" and \"J10\" lie 125 mm apart. That is unusual. Was a joist left out, or a reading mistyped?",
    },
    Mistake {
        from: "up_from_laser_mm = [1154, 1153, 1152]",
        to: "up_from_laser_mm = [1154, 1053, 1152]",
        at: "up_from_laser_mm = [1154, 1053, 1152]",
        says: "The readings of the joist \"J11\" lie 101 mm apart. That is much for one timber. Read them again.",
    },
    Mistake {
        from: "up_from_laser_mm = [1154, 1153, 1152]",
        to: "up_from_laser_mm = [1354, 1353, 1352]",
        at: "up_from_laser_mm = [1354, 1353, 1352]",
        says: "The joist \"J11\" lies 2552 mm above the floor by the laser, but the wall A-B is 2340 mm high. Check the reading, `laser_above_floor_mm` and `height_mm` of the wall.",
    },
    Mistake {
        from: "date = \"2026-11-25\"",
        to: "date = \"25.11.2026\"",
        at: "date = \"25.11.2026\"",
        says: "This date is not written year-month-day. Write it as \"2026-03-14\"; it is printed as it stands.",
    },
    Mistake {
        from: "height_mm = 2010\nsill_mm = 0",
        to: "height_mm = 1810\nsill_mm = 400",
        at: "sill_mm = 400",
        says: "A threshold of 400 mm is high for a door. `sill_mm` is the height of the lower edge above the floor.",
    },
    Mistake {
        from: "screw_gap_mm = 230",
        to: "screw_gap_mm = 120",
        at: "screw_gap_edges_mm = 150",
        says: "Screws along the edges are farther apart than in the middle. Edges need the closer screws. Are the two values swapped?",
    },
    Mistake {
        from: "vented = true",
        to: "vented = false",
        at: "[[buildup.layer]]\nkind = \"cavity\"          # between the joists: clear air above, fibre below",
        says: "The layer between the joists of a cold flat roof is not aired. Write `vented = true` if air can pass, or `kind = \"warm-flat\"` in [roof].",
    },
    Mistake {
        from: "fresh_air_l_s = 24",
        to: "fresh_air_l_s = 0",
        at: "fresh_air_l_s = 0",
        says: "3 people get no fresh air. Plan 8 to 10 l/s for each person and a [[vent]] that brings it.",
    },
    Mistake {
        from: "[[buildup]]\nid = \"door\"",
        to: "[[buildup]]\nid = \"spare\"\n\n[[buildup.layer]]\nkind = \"board\"\nmaterial = \"osb-18\"\n\n[[buildup]]\nid = \"door\"",
        at: "id = \"spare\"",
        says: "Nothing is built of \"spare\". Name it as `buildup` of a wall, of an opening or of the ceiling, or take it away.",
    },
    Mistake {
        from: "width_mm = 600\nprice",
        to: "width_mm = 140\nprice",
        at: "least_strip_mm = 150",
        says: "The narrowest piece cannot be 150 mm: the board `sand-filled-board-15` is only 140 mm wide. Write less than the width of the narrowest board.",
    },
    Mistake {
        from: "depth_mm = 150\ngrade",
        to: "depth_mm = 170\ngrade",
        at: "depth_mm = 150",
        says: "This layer is 150 mm deep, but the joists that cross it 170 mm. Write the depth of the joists, unless boards lie between them.",
    },
    Mistake {
        from: "bearing_mm = 90",
        to: "bearing_mm = 9",
        at: "bearing_mm = 9",
        says: "`bearing_mm` cannot be 9 mm: it must lie from 20 to 400 mm. If that was meant in centimetres, write `bearing_mm = 90`.",
    },
    Mistake {
        from: "[joists]\nmembers",
        to: "[joist]\nmembers",
        at: "[joist]",
        says: "[joist] needs double brackets: there can be several. Write [[joist]].\n[[joist]] stands here, but line 104 has [joist]. Write the header with the same brackets everywhere: double ones where there can be several.",
    },
    Mistake {
        from: "kind = \"wall-tie\"\nproduct = \"wire-tie\"",
        to: "kind = \"dab\"\nproduct = \"wire-tie\"",
        at: "product = \"wire-tie\"",
        says: "A bridge of the kind \"dab\" has no product. Take `product` away.",
    },
    Mistake {
        from: "name = \"Heavy timber door, compression seals all round\"",
        to: "name = \"Heavy timber door, compression seals all round\"\nmeasured = { \"100\" = 25, \"110\" = 26 }",
        at: "measured = { \"100\" = 25, \"110\" = 26 }",
        says: "`110` is no third-octave band. The nearest is \"100\".",
    },
    Mistake {
        from: "place = \"rear half of an old brick workshop\"",
        to: "place = \"\"",
        at: "place = \"\"",
        says: "`place` is empty. Write one short line of text in quotes, or leave the key away if it is not needed.",
    },
    Mistake {
        from: "level_dba = 58 ",
        to: "level_dba = 58\nlevel_db = 3 ",
        at: "level_db = 3           # at the front of the",
        says: "[[outside_sound]] \"street\" has no key `level_db`. Did you mean `level_dba`?",
    },
];

#[test]
fn every_mistake_gets_its_sentence_at_its_line() {
    let mut wrong = Vec::new();
    for mistake in MISTAKES {
        assert!(ROOM.contains(mistake.from), "the room has no {:?}", mistake.from);
        let text = ROOM.replacen(mistake.from, mistake.to, 1);
        let (project, found) = plan::read(&text, "room.toml");
        let said: Vec<String> = found
            .iter()
            .map(|d| {
                format!("{} {}", d.message, d.help.as_deref().expect("every diagnostic says what to do"))
            })
            .collect();
        let place = text.find(mistake.at).expect("the line to point at");
        let line = text[..place].matches('\n').count() + 1;
        let said_line = found.first().map(|d| d.line);
        if said.join("\n") != mistake.says || said_line != Some(line) {
            wrong.push(format!(
                "{:?} to {:?}\n  line {line}, said {said_line:?}\n  {}",
                mistake.from,
                mistake.to,
                said.join("\n  ")
            ));
        }
        let any_error = found.iter().any(|d| d.severity == Severity::Error);
        assert_eq!(project.is_none(), any_error, "{:?}", mistake.to);
        for label in found.iter().flat_map(|d| &d.labels) {
            assert!(text.get(label.span.clone()).is_some(), "span {:?} of {:?}", label.span, mistake.to);
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(MISTAKES.len() >= 100);
}

#[test]
fn many_mistakes_are_all_told_in_one_run() {
    let changes = [
        ("headroom_mm = 2250", "headrom_mm = 2250"),
        ("lift_kg = 40", "lift_kg = \"40\""),
        ("floor_mm = 5233", "floor_mm = 5.233"),
        ("ceiling_mm = 4232\n", ""),
        ("wall = \"C-D\"\ngap_mm", "wall = \"A-D\"\ngap_mm"),
        ("kind = \"cold-flat\"", "kind = \"cold\""),
        ("name = \"J2\"", "name = \"J1\""),
        ("from_mm = 5086", "from_mm = 5486"),
        ("material = \"osb-18\"", "material = \"osb-81\""),
        ("material = \"brick-102\"", "material = \"brick\""),
        ("width_mm = 1180", "width_mm = 4180"),
        ("kind = \"door\"", "kind = \"gate\""),
        ("hole_mm = 12\n", ""),
        ("kind = \"drum-kit\"", "kind = \"drumkit\""),
        ("distance_m = 6\n", "distance_m = 0\n"),
        ("walls = [\"B-C\", \"C-D\"]", "walls = [\"B-C\", \"X\"]"),
        ("people = 3", "people = 2.5"),
        ("temperature_c = [4.2, 4.4,", "temperature_c = [4.2,"),
        ("kerf_mm = 3", "kerf_mm = -3"),
        ("price = 6.40", "price = -6.40"),
    ];
    let mut text = ROOM.to_owned();
    for (from, to) in changes {
        assert!(text.contains(from), "{from}");
        text = text.replacen(from, to, 1);
    }
    let (project, found) = plan::read(&text, "room.toml");
    assert!(project.is_none());
    let said: Vec<String> = found.iter().map(ToString::to_string).collect();
    assert_eq!(found.len(), changes.len(), "{}", said.join("\n"));
    assert!(found.is_sorted_by_key(|d| d.line));
}
