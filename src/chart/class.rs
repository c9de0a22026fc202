//! The classes of objects that matter to a boat at anchor, with the standard's acronym and code.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::speech::Sentence;

macro_rules! classes {
    ($($(#[$doc:meta])* $name:ident = $acronym:literal, $code:literal;)*) => {
        /// A class of object. Codes and acronyms are those of S-57, Appendix A, chapter 1; the words are in the
        /// catalogues of [`crate::speech`].
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        pub enum Class {
            $($(#[$doc])* #[serde(rename = $acronym)] $name,)*
        }

        impl Class {
            /// All classes, in the order of their codes.
            pub const ALL: &[Self] = &[$(Self::$name),*];

            /// The acronym in S-57, such as `DEPARE`.
            #[must_use]
            pub const fn acronym(self) -> &'static str {
                match self { $(Self::$name => $acronym),* }
            }

            /// The number in S-57, which is `OBJL` of a feature.
            #[must_use]
            pub const fn code(self) -> u16 {
                match self { $(Self::$name => $code),* }
            }

            /// The crew's word for it, without an article.
            #[must_use]
            pub const fn told(self) -> Sentence {
                Sentence::name("Class", self.acronym())
            }
        }
    };
}

classes! {
    /// A berth for one anchored ship.
    AnchorBerth = "ACHBRT", 3;
    /// An area to anchor in.
    Anchorage = "ACHARE", 4;
    /// An area with cables on the bottom.
    CableArea = "CBLARE", 20;
    /// One cable on the bottom.
    Cable = "CBLSUB", 22;
    /// An area where the mariner must take care.
    Caution = "CTNARE", 27;
    /// The line between land and sea.
    Coastline = "COALNE", 30;
    /// A dam in the water.
    Dam = "DAMCON", 38;
    /// An area between two depths.
    DepthArea = "DEPARE", 42;
    /// A contour: a line of one depth.
    DepthContour = "DEPCNT", 43;
    /// An area dredged to a depth.
    DredgedArea = "DRGARE", 46;
    /// A dumping ground.
    DumpingGround = "DMPGRD", 48;
    /// A main shipping route.
    Fairway = "FAIRWY", 51;
    /// Stakes, traps, weirs.
    FishingFacility = "FSHFAC", 55;
    /// A dock that floats.
    FloatingDock = "FLODOC", 57;
    /// A hulk: a ship that lies there permanently.
    Hulk = "HULKES", 65;
    /// Dry at high water.
    Land = "LNDARE", 71;
    /// A marine farm: cages and beds.
    MarineFarm = "MARCUL", 82;
    /// A military practice area.
    MilitaryArea = "MIPARE", 83;
    /// Dolphins, bollards, mooring buoys.
    MooringFacility = "MORFAC", 84;
    /// An obstruction that is none of the others.
    Obstruction = "OBSTRN", 86;
    /// A platform at sea.
    Platform = "OFSPLF", 87;
    /// A pile or post.
    Pile = "PILPNT", 90;
    /// An area with pipes on the bottom.
    PipelineArea = "PIPARE", 92;
    /// One pipe on the bottom.
    Pipeline = "PIPSOL", 94;
    /// A floating landing stage.
    Pontoon = "PONTON", 95;
    /// An area where something is forbidden or restricted.
    RestrictedArea = "RESARE", 112;
    /// Piers, walls, breakwaters.
    ShoreConstruction = "SLCONS", 122;
    /// A depth at one point.
    Sounding = "SOUNDG", 129;
    /// A rock under water or awash.
    Rock = "UWTROC", 153;
    /// An area that was never surveyed.
    Unsurveyed = "UNSARE", 154;
    /// A wreck.
    Wreck = "WRECKS", 159;
    /// The coverage of the cell.
    Coverage = "M_COVR", 302;
    /// The quality of the survey.
    SurveyQuality = "M_QUAL", 308;
}

impl Class {
    /// By S-57's number or acronym, as `OBJL` gives it; `None` for a class that does not matter at anchor.
    #[must_use]
    pub fn of(text: &str) -> Option<Self> {
        let text = text.trim();
        let code: Option<u16> = text.parse().ok();
        Self::ALL
            .iter()
            .copied()
            .find(|class| code == Some(class.code()) || text.eq_ignore_ascii_case(class.acronym()))
    }

    /// Whether areas of this class and the others of its group cover a cell without gap or overlap. S-57,
    /// Appendix B.1, 4.2: group 1, the skin of the Earth. Every place for which a cell has data lies under one of
    /// them.
    #[must_use]
    pub const fn is_skin(self) -> bool {
        matches!(
            self,
            Self::DepthArea
                | Self::DredgedArea
                | Self::Unsurveyed
                | Self::Land
                | Self::FloatingDock
                | Self::Hulk
                | Self::Pontoon
        )
    }
}

impl fmt::Display for Class {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.acronym())
    }
}
