//! What the macros of `templates/parts/` are given. Values arrive here as text, already in the units and digits a person
//! reads; these types only say how a part looks.

/// An input: label, what stands in it, and what is to be said under it.
#[derive(Clone, Debug, Default)]
pub struct Blank {
    /// Element id, one on the page: "setup-s3-f_number".
    pub id: String,
    /// Name of the field in the form and in the journal.
    pub name: String,
    pub label: String,
    /// As written, or after a fault as typed.
    pub value: String,
    /// Unit after the input; empty for none.
    pub unit: String,
    /// The usual value, shown in pencil while the blank is empty.
    pub usual: String,
    pub kind: Kind,
    /// Id of the record the field belongs to; empty for a form that keeps nothing.
    pub entity: String,
    /// Number of the change this page shows.
    pub base: i64,
    /// Help that stands under the blank at all times; empty for none.
    pub hint: String,
    /// Why what was typed was not stored; empty for none.
    pub fault: String,
    /// What is out of the ordinary about a value that was kept; empty for none.
    pub unusual: String,
    /// Role whose cursor is in this blank; empty for none.
    pub hand: String,
    /// Two hands wrote it and nobody has settled it.
    pub disputed: bool,
    /// What was typed cannot be changed by this person.
    pub read_only: bool,
    /// What stands in it is tried in pencil and not written.
    pub pencilled: bool,
}

/// What kind of input a blank is.
#[derive(Clone, Debug, Default)]
pub enum Kind {
    /// A figure, with the number keys of a phone.
    #[default]
    Number,
    /// One line of words.
    Text,
    /// Several lines of words.
    Long,
    Date,
    /// Yes or no.
    Tick,
    /// One of a list.
    Choice(Vec<Choice>),
}

/// One line of a list to choose from.
#[derive(Clone, Debug)]
pub struct Choice {
    pub value: String,
    pub label: String,
}

impl Blank {
    /// Ids of the lines under the blank, for `aria-describedby`.
    pub fn described_by(&self) -> String {
        let lines = [
            (!self.fault.is_empty(), "fault"),
            (!self.unusual.is_empty(), "unusual"),
            (!self.hint.is_empty(), "hint"),
            (self.value.is_empty() && !self.usual.is_empty(), "usual"),
        ];
        lines
            .iter()
            .filter(|(stands, _)| *stands)
            .map(|(_, line)| format!("{}-{line}", self.id))
            .collect::<Vec<_>>()
            .join(" ")
    }

    pub fn ticked(&self) -> bool {
        matches!(self.kind, Kind::Tick) && !self.value.is_empty() && self.value != "no"
    }
}

/// A figure that came out, with why.
#[derive(Clone, Debug, Default)]
pub struct Figure {
    /// Element id; empty for none.
    pub id: String,
    /// The number in the ring beside it, the same as on the drawing; empty for none.
    pub ring: String,
    pub name: String,
    /// Empty when not enough is known: then a long dash stands here.
    pub value: String,
    pub unit: String,
    /// The sum with this page's numbers in it, "√20 × 25 = 111.8".
    pub expression: String,
    /// Why, in words.
    pub because: String,
    /// Published source, "common practice, no source" or "from memory"; empty for none.
    pub source: String,
    /// The blank that is missing; its link stands for the because.
    pub missing: Option<Missing>,
    /// It rests on a value that is not the newest typed.
    pub stale: bool,
    /// It rests on a usual value nobody here wrote.
    pub rests_on_usual: bool,
    /// Two hands wrote what it rests on.
    pub disputed: bool,
    /// Beyond a limit: said in bold after the because.
    pub over: String,
}

/// The blank a figure waits for.
#[derive(Clone, Debug, Default)]
pub struct Missing {
    /// Address of the blank: "#setup-s3-f_number".
    pub href: String,
    /// Its label, as the link says it.
    pub label: String,
}

/// How much a finding gives away.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Severity {
    Shows,
    MayShow,
    #[default]
    Slight,
}

impl Severity {
    pub fn word(self) -> &'static str {
        match self {
            Self::Shows => "Shows",
            Self::MayShow => "May show",
            Self::Slight => "Slight",
        }
    }

    pub fn class(self) -> &'static str {
        match self {
            Self::Shows => "shows",
            Self::MayShow => "may-show",
            Self::Slight => "slight",
        }
    }
}

/// Something that tells the eye it is small or dry.
#[derive(Clone, Debug, Default)]
pub struct Tell {
    /// Element id; empty for none.
    pub id: String,
    pub severity: Severity,
    pub head: String,
    /// "1.4 ×"; empty for none.
    pub quantity: String,
    /// The sum with this setup's numbers in it; empty for none.
    pub sum: String,
    /// The quantity in a sentence and the cure; empty for none.
    pub body: String,
    pub ring: String,
    /// Who let it pass, when and why; empty for none.
    pub let_pass: String,
    /// Id of the record that let it pass, at these values or others; empty for none.
    pub let_pass_id: String,
    /// Name of its rule, for the form that lets it pass; empty where it cannot be.
    pub rule: String,
    /// Where its lever is; empty for none.
    pub href: String,
    /// What would cure it, each tried in pencil by one press.
    pub cures: Vec<Cure>,
}

/// One press that pencils in what would cure a finding.
#[derive(Clone, Debug)]
pub struct Cure {
    /// What the button says: "f/15".
    pub says: String,
    /// What it sends.
    pub value: String,
}

/// The four bars of a setup and its crossing.
#[derive(Clone, Copy, Debug, Default)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "a gate is four bars and a crossing, each of which stands or does not"
)]
pub struct Bars {
    pub worked: bool,
    pub in_hand: bool,
    pub tried: bool,
    pub checked: bool,
    pub signed: bool,
}

impl Bars {
    /// Each bar with the middle of its stroke.
    pub fn strokes(self) -> [(u8, bool); 4] {
        [
            (6, self.worked),
            (15, self.in_hand),
            (24, self.tried),
            (33, self.checked),
        ]
    }

    /// The tally in words: "Waiting: in hand, tried".
    pub fn words(self) -> String {
        let waiting: Vec<_> = [
            (self.worked, "worked"),
            (self.in_hand, "in hand"),
            (self.tried, "tried"),
            (self.checked, "checked"),
        ]
        .iter()
        .filter(|(stands, _)| !stands)
        .map(|(_, name)| *name)
        .collect();
        if self.signed {
            "Signed".to_owned()
        } else if waiting.is_empty() {
            "Ready to sign".to_owned()
        } else {
            format!("Waiting: {}", waiting.join(", "))
        }
    }
}

/// A warning about harm. It is never folded away.
#[derive(Clone, Debug, Default)]
pub struct Caution {
    /// What can hurt, in two or three words.
    pub head: String,
    /// What to do now.
    pub body: String,
    /// The limit with its unit; empty for none.
    pub limit: String,
    /// Who set the limit.
    pub authority: String,
    /// Its date or edition.
    pub date: String,
    /// "common practice, no source" or "from memory"; empty for a published source.
    pub mark: String,
}

/// Two people wrote one blank.
#[derive(Clone, Debug, Default)]
pub struct TwoHands {
    pub id: String,
    /// "the stop".
    pub about: String,
    /// Address the choice is posted to.
    pub action: String,
    pub written: Hand,
    pub beside: Hand,
    /// Hidden fields of the form: name and value.
    pub fields: Vec<(String, String)>,
}

/// One of the two values.
#[derive(Clone, Debug, Default)]
pub struct Hand {
    /// What the button sends.
    pub choice: String,
    /// "f/11".
    pub value: String,
    /// "You" or a role.
    pub who: String,
    pub at: String,
    /// What this value would do, in one line.
    pub consequence: String,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gate_says_what_it_waits_for() {
        let mut bars = Bars {
            worked: true,
            checked: true,
            ..Bars::default()
        };
        assert_eq!(bars.words(), "Waiting: in hand, tried");
        bars.in_hand = true;
        bars.tried = true;
        assert_eq!(bars.words(), "Ready to sign");
        bars.signed = true;
        assert_eq!(bars.words(), "Signed");
    }

    #[test]
    fn a_blank_is_described_by_the_lines_that_stand_under_it() {
        let blank = Blank {
            id: "stop".to_owned(),
            usual: "11".to_owned(),
            fault: "Stop must be above 0.7.".to_owned(),
            ..Blank::default()
        };
        assert_eq!(blank.described_by(), "stop-fault stop-usual");
    }
}
