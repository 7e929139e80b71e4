//! The frame of a page: what the title block and the fore-edge index say.
//!
//! Every page's template extends `base.html` and carries a [`Sheet`] in a field named `sheet`.

use super::assets;
use super::look::Look;

/// Where the plumb mark and "The book list" lead.
pub const BOOK_LIST: &str = "/";
/// What a person says about themselves.
pub const ME: &str = "/me";
/// Where the sign-out button posts.
pub const SIGN_OUT: &str = "/sign-out";
/// The bench sums, which need no plan.
pub const SUMS: &str = "/sums";

/// What stands around a page.
#[derive(Clone, Debug, Default)]
pub struct Sheet {
    /// Title of the production; empty when no plan is open.
    pub production: String,
    /// Name of the sheet, its heading and its cell in the title block.
    pub name: String,
    /// Line under the heading; empty for none.
    pub subtitle: String,
    /// Cells of this sheet alone, between its name and the units.
    pub cells: Vec<Cell>,
    /// Address of the open plan, without a slash at the end.
    pub plan_href: Option<String>,
    /// The sheets that exist, in the order of work.
    pub tabs: &'static [TabLink],
    /// The tab this page belongs to.
    pub current: Option<Tab>,
    /// The newest change this page shows.
    pub change: Option<Change>,
    /// Who is looking; `None` when signed out.
    pub person: Option<Person>,
    pub look: Look,
    /// How this page follows its plan; none where there is none, or where it stands still.
    pub follows: Option<Follows>,
    /// Units of the sheet, as "mm · lx · fps"; empty hides the cell.
    pub units: String,
    /// Address of the same page in the other units, and what the link says.
    pub units_switch: Option<(String, &'static str)>,
    /// Day and clock for the title foot on paper, "11 March 16:40"; empty hides it.
    pub printed: String,
    /// What was just done, said above the sheet; empty for nothing.
    pub notice: String,
    /// Whether this person may rub out their last change.
    pub writes: bool,
    /// The earlier moment that this page shows; none for the plan as it stands.
    pub moment: Option<Moment>,
    /// Where blanks are that two hands wrote, and how many; none when there are none.
    pub undecided: Option<(String, usize)>,
    /// Remarks on what this page shows; none outside a plan.
    pub remarks: Option<Remarked>,
    /// How many values this page shows in pencil.
    pub in_pencil: usize,
    /// Path and query of this page, where the look's switch comes back to.
    pub path: String,
}

/// One more cell of the title block.
#[derive(Clone, Debug)]
pub struct Cell {
    pub label: String,
    pub value: String,
}

/// A change as the title block names it.
#[derive(Clone, Debug)]
pub struct Change {
    /// Journal number.
    pub seq: i64,
    /// Role of the hand that made it.
    pub who: String,
    /// Clock of the stage, "14:32".
    pub at: String,
}

/// What the title block says of remarks.
#[derive(Clone, Debug)]
pub struct Remarked {
    /// Where they are.
    pub href: String,
    /// How many are open.
    pub open: usize,
    /// The beginning of the newest; empty for none.
    pub newest: String,
}

/// A moment of the past that a page shows.
#[derive(Clone, Debug)]
pub struct Moment {
    /// Its number.
    pub seq: i64,
    /// Its day and clock.
    pub at: String,
    /// Whose change it was.
    pub who: String,
    /// The same sheet as it stands.
    pub now: String,
}

/// Addresses by which a page follows its plan.
#[derive(Clone, Debug)]
pub struct Follows {
    /// The plan's own address.
    pub plan: String,
    /// The stream of its changes.
    pub stream: String,
    /// Where a window says which blank its hand is in.
    pub here: String,
    /// The store's epoch, with which the page's number makes its place in the stream.
    pub epoch: String,
}

/// Who is looking at the page.
#[derive(Clone, Debug)]
pub struct Person {
    pub id: String,
    pub name: String,
    pub role: String,
}

/// The sheets of the book, in the order of work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tab {
    Cut,
    Setups,
    Water,
    Haze,
    Day,
    Takes,
    Stores,
    Ready,
    Paper,
    Sums,
}

impl Tab {
    /// The key that turns to it: 1 to 9, then 0. A sheet that does not exist yet leaves its number free.
    pub fn key(self) -> u8 {
        (self as u8 + 1) % 10
    }

    pub fn label(self) -> &'static str {
        match self {
            Self::Cut => "The cut",
            Self::Setups => "Setups",
            Self::Water => "Gel & water",
            Self::Haze => "Haze",
            Self::Day => "Stage day",
            Self::Takes => "Takes",
            Self::Stores => "Stores",
            Self::Ready => "Ready?",
            Self::Paper => "Paper",
            Self::Sums => "Bench sums",
        }
    }
}

/// A tab that has a page.
#[derive(Clone, Copy, Debug)]
pub struct TabLink {
    pub tab: Tab,
    /// Path below the plan's address, as "/cut". Bench sums stand at [`SUMS`] whatever is said here.
    pub path: &'static str,
}

/// One line of the fore-edge index.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// The key, or none for the book list.
    pub key: Option<u8>,
    pub label: &'static str,
    pub href: String,
    pub here: bool,
}

impl Sheet {
    /// Lines of the fore-edge index.
    pub fn index(&self) -> Vec<Line> {
        let Some(plan) = &self.plan_href else {
            return self.index_without_plan();
        };
        self.tabs
            .iter()
            .map(|link| Line {
                key: Some(link.tab.key()),
                label: link.tab.label(),
                href: match link.tab {
                    Tab::Sums => SUMS.to_owned(),
                    _ => format!("{plan}{}", link.path),
                },
                here: self.current == Some(link.tab),
            })
            .collect()
    }

    fn index_without_plan(&self) -> Vec<Line> {
        let sums = self.tabs.iter().any(|link| link.tab == Tab::Sums);
        let books = Line {
            key: None,
            label: "Book list",
            href: BOOK_LIST.to_owned(),
            here: self.current.is_none() && self.path == BOOK_LIST,
        };
        let sums = sums.then(|| Line {
            key: Some(Tab::Sums.key()),
            label: Tab::Sums.label(),
            href: SUMS.to_owned(),
            here: self.current == Some(Tab::Sums),
        });
        std::iter::once(books).chain(sums).collect()
    }

    /// Where styles, scripts and lettering stand.
    pub fn assets(&self) -> &'static str {
        assets::prefix()
    }

    /// What the title block says where the production stands.
    pub fn production_or_none(&self) -> &str {
        if self.production.is_empty() {
            "none open"
        } else {
            &self.production
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TABS: &[TabLink] = &[
        TabLink {
            tab: Tab::Cut,
            path: "/cut",
        },
        TabLink {
            tab: Tab::Ready,
            path: "/ready",
        },
        TabLink {
            tab: Tab::Sums,
            path: "",
        },
    ];

    #[test]
    fn a_tab_keeps_its_number_when_others_are_missing() {
        let sheet = Sheet {
            plan_href: Some("/plans/1".to_owned()),
            tabs: TABS,
            current: Some(Tab::Ready),
            ..Sheet::default()
        };
        let lines: Vec<_> = sheet
            .index()
            .into_iter()
            .map(|l| (l.key, l.href, l.here))
            .collect();
        assert_eq!(
            lines,
            [
                (Some(1), "/plans/1/cut".to_owned(), false),
                (Some(8), "/plans/1/ready".to_owned(), true),
                (Some(0), "/sums".to_owned(), false),
            ]
        );
    }

    #[test]
    fn without_a_plan_the_index_shows_the_book_list_and_the_sums() {
        let sheet = Sheet {
            tabs: TABS,
            path: BOOK_LIST.to_owned(),
            ..Sheet::default()
        };
        let labels: Vec<_> = sheet
            .index()
            .into_iter()
            .map(|l| (l.label, l.here))
            .collect();
        assert_eq!(labels, [("Book list", true), ("Bench sums", false)]);
    }
}
