//! Receivers next door, and what goes through walls and ceiling.

use super::Mistake;

const FENCE: &str = "name = \"garden fence\"\nwall = \"B-C\"             # straight out from this wall\nalong_mm = 1900          # from B\ndistance_m = 6\nheight_m = 1.5\n";

pub(super) const MISTAKES: &[Mistake] = &[
    Mistake {
        from: FENCE,
        to: "name = \"garden fence\"\nbehind = \"A-B\"\n",
        at: "[[receiver]]\nname = \"garden fence\"",
        says: "The room of \"garden fence\" needs its volume. Write `room_volume_m3`: length times width times height of the room behind, in metres.",
    },
    Mistake {
        from: FENCE,
        to: "name = \"garden fence\"\nbehind = \"B-C\"\nroom_volume_m3 = 40\n",
        at: "behind = \"B-C\"",
        says: "The receiver \"garden fence\" is in a room behind it, but the file says that open air or soil is there. Write `faces = \"building\"` or `faces = \"neighbour\"` at that [[wall]], or name another.",
    },
    Mistake {
        from: FENCE,
        to: "name = \"garden fence\"\nbehind = \"ceiling\"\nroom_volume_m3 = 40\n",
        at: "behind = \"ceiling\"",
        says: "The receiver \"garden fence\" is in a room behind it, but the file says that open air or soil is there. Write `kind = \"floor\"` in [roof] where people live above, or name a wall.",
    },
    Mistake {
        from: FENCE,
        to: "name = \"garden fence\"\nbehind = \"door\"\nroom_volume_m3 = 40\n",
        at: "behind = \"door\"",
        says: "A room lies behind a wall or the ceiling, not behind an opening. Write the wall, such as `behind = \"A-B\"`, or `behind = \"ceiling\"`.",
    },
    Mistake {
        from: FENCE,
        to: "name = \"garden fence\"\nbehind = \"A-B\"\nroom_volume_m3 = 40\ndistance_m = 6\n",
        at: "distance_m = 6",
        says: "A receiver behind a wall or ceiling has no `distance_m`. Take it away, or take `behind` away.",
    },
    Mistake {
        from: FENCE,
        to: "name = \"garden fence\"\nroom_volume_m3 = 40\n",
        at: "room_volume_m3 = 40",
        says: "`room_volume_m3` is of a room next door or above, but `behind` is missing. Write the shared wall, such as `behind = \"A-B\"`, or `behind = \"ceiling\"`.",
    },
    Mistake {
        from: "filling = \"sealant\"",
        to: "filling = \"sealent\"",
        at: "filling = \"sealent\"",
        says: "`filling` cannot be \"sealent\". Did you mean \"sealant\"? Known are \"nothing\", \"fibre\", \"foam\" or \"sealant\".",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[penetration]]\nwhere = \"light over the kit\"\nelement = \"ceiling\"\nkind = \"lamp\"\nheight_mm = 90\n\n[[gap]]",
        at: "height_mm = 90",
        says: "A lamp is round: it has a `size_mm` and no `height_mm`. Take `height_mm` away.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[penetration]]\nwhere = \"light over the kit\"\nelement = \"ceiling\"\nkind = \"lantern\"\n\n[[gap]]",
        at: "kind = \"lantern\"",
        says: "`kind` cannot be \"lantern\". Write \"cable\", \"pipe\", \"socket-box\", \"lamp\", \"hatch\" or \"louvre\".",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[penetration]]\nwhere = \"louvre\"\nelement = \"ceiling\"\nkind = \"louvre\"\ndn_e = { \"100\" = 20.0, \"125\" = 21.0 }\n\n[[gap]]",
        at: "dn_e = {",
        says: "`dn_e` has no value at 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150 Hz. Give all third-octave bands from 100 to 3150 Hz, or leave `dn_e` away.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[penetration]]\nwhere = \"many lamps\"\nelement = \"ceiling\"\nkind = \"lamp\"\ncount = 900\nsize_mm = 200\n\n[[gap]]",
        at: "[[penetration]]",
        says: "\"many lamps\" takes 36 m² of a part that has 22.15 m². Check how many there are and how large.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[penetration]]\nwhere = \"socket\"\nelement = \"window\"\nkind = \"socket-box\"\n\n[[gap]]",
        at: "element = \"window\"",
        says: "A socket-box cannot be let into glass. Name the wall or the ceiling it is in.",
    },
    Mistake {
        from: "product = \"resilient-clip-low\"\n",
        to: "",
        at: "[[buildup.bridge]]",
        says: "A clip needs its `product` or its `stiffness_mn_m`. Name a clip of the catalogue, such as `product = \"resilient-clip-low\"`, or give the maker's dynamic stiffness.",
    },
    Mistake {
        from: "kind = \"cold-flat\"",
        to: "kind = \"warm-flat\"",
        at: "[[buildup.layer]]\nkind = \"cavity\"          # between the joists",
        says: "The roof is called warm, but outside air moves between its joists: that is a cold roof. Write `kind = \"cold-flat\"` in [roof], or `vented = false` and the insulation as a layer outside the deck.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[lining]]\nwall = \"B-C\"\nheight_mm = 3000\n\n[[lining.layer]]\nmaterial = \"plasterboard-12.5\"\n\n[[gap]]",
        at: "height_mm = 3000",
        says: "The lining is 3000 mm high, its wall B-C only 2340 mm. A lining ends under the ceiling: give its real height, or leave `height_mm` away.",
    },
    Mistake {
        from: "[[gap]]",
        to: "[[lining]]\nwall = \"A-B\"\n\n[[lining.layer]]\nmaterial = \"plasterboard-12.5\"\n\n[[lining]]\nwall = \"A-B\" # again\n\n[[lining.layer]]\nmaterial = \"plasterboard-12.5\"\n\n[[gap]]",
        at: "wall = \"A-B\" # again",
        says: "The wall A-B has two linings. Write all its layers into one [[lining]].",
    },
];
