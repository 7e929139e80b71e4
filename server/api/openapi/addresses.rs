//! Every address but the calculations', with what it takes and gives. A test holds the list against the router.

/// One method of one address.
pub struct Address {
    pub method: &'static str,
    /// As the router writes it.
    pub path: &'static str,
    pub tag: &'static str,
    pub summary: &'static str,
    pub takes: Takes,
    pub gives: Gives,
    /// Names and meanings in the query.
    pub query: &'static [(&'static str, &'static str)],
    /// More statuses that it may answer with.
    pub also: &'static [u16],
}

/// What is sent.
pub enum Takes {
    Nothing,
    /// JSON by a schema of the document.
    Json(&'static str),
    /// A form, of the pages.
    Form,
}

/// What comes back when all is well.
pub enum Gives {
    Page,
    /// A redirect to the page to go on with.
    Onward,
    /// JSON: status, schema of the document, what it is.
    Json(u16, &'static str, &'static str),
    /// No body: that it was done.
    Nothing(&'static str),
    /// Something else: its media types, what it is.
    File(&'static [&'static str], &'static str),
}

impl Address {
    /// Name of the operation: the method and the words of the path.
    pub fn id(&self) -> String {
        let words = self
            .path
            .split(|c: char| !c.is_alphanumeric())
            .filter(|word| !word.is_empty());
        std::iter::once(self.method)
            .chain(words)
            .collect::<Vec<_>>()
            .join("_")
    }
}

const fn page(path: &'static str, summary: &'static str) -> Address {
    Address {
        method: "get",
        path,
        tag: "pages",
        summary,
        takes: Takes::Nothing,
        gives: Gives::Page,
        query: &[],
        also: &[],
    }
}

const fn form(path: &'static str, summary: &'static str) -> Address {
    Address {
        method: "post",
        path,
        tag: "pages",
        summary,
        takes: Takes::Form,
        gives: Gives::Onward,
        query: &[],
        also: &[],
    }
}

/// A form whose answer may also be the page itself, with what was typed.
const fn blanks(path: &'static str, summary: &'static str) -> Address {
    Address {
        also: &[200],
        ..form(path, summary)
    }
}

const fn json(
    method: &'static str,
    path: &'static str,
    summary: &'static str,
    takes: Takes,
    gives: Gives,
) -> Address {
    Address {
        method,
        path,
        tag: "plans",
        summary,
        takes,
        gives,
        query: &[],
        also: &[],
    }
}

pub const ADDRESSES: &[Address] = &[
    Address {
        tag: "program",
        ..json(
            "get",
            "/health",
            "The program answers.",
            Takes::Nothing,
            Gives::Json(200, "Health", "It does."),
        )
    },
    Address {
        tag: "program",
        ..json(
            "get",
            "/api/calc",
            "Every calculation with its inputs, outputs, units, ranges and source.",
            Takes::Nothing,
            Gives::Json(200, "Calculations", "The list."),
        )
    },
    Address {
        tag: "program",
        also: &[304],
        ..json(
            "get",
            "/api/openapi.json",
            "This document.",
            Takes::Nothing,
            Gives::Json(200, "Document", "The document."),
        )
    },
    json(
        "get",
        "/api/plans",
        "The studio's plans.",
        Takes::Nothing,
        Gives::Json(200, "Plans", "The plans."),
    ),
    json(
        "post",
        "/api/plans",
        "Makes a plan; title and base rate are needed.",
        Takes::Json("Fields"),
        Gives::Json(201, "PlanMade", "It was made; its address is at Location."),
    ),
    Address {
        also: &[304],
        ..json(
            "get",
            "/api/plans/{plan}",
            "The whole plan as it stands, with its number and epoch.",
            Takes::Nothing,
            Gives::Json(200, "Plan", "The plan."),
        )
    },
    Address {
        query: &[
            (
                "after",
                "Where the reader stands, as epoch:number; a Last-Event-ID header wins over it.",
            ),
            (
                "window",
                "A random word of the window that listens; its hand leaves the table when the stream ends.",
            ),
        ],
        ..json(
            "get",
            "/api/plans/{plan}/stream",
            "What is written from now on, as server-sent events: change, reload, presence. It does not end by itself.",
            Takes::Nothing,
            Gives::File(&["text/event-stream"], "The events."),
        )
    },
    Address {
        also: &[409],
        ..json(
            "post",
            "/api/plans/{plan}/changes",
            "Writes fields: one op, a list, or an atomic batch. The same op id twice is answered with the first outcome.",
            Takes::Json("Changes"),
            Gives::Json(200, "Results", "What came of each op."),
        )
    },
    Address {
        query: &[
            ("look", "Only look and store nothing, when it is there."),
            ("overrides", "Corrected headings, as JSON."),
            (
                "encoding",
                "How the characters are written, by its registered name.",
            ),
            ("file_name", "What the sender calls the file."),
        ],
        ..json(
            "post",
            "/api/plans/{plan}/import",
            "A shot list from CSV or .xlsx: looked at, then stored whole or not at all.",
            Takes::Form,
            Gives::Json(200, "Look", "What the list says, and what was stored."),
        )
    },
    Address {
        query: &[(
            "for",
            "spreadsheets: written for those; left out: for programs.",
        )],
        also: &[400],
        ..json(
            "get",
            "/api/plans/{plan}/export/{kind}",
            "Shots, setups or the whole plan: shots.csv, setups.csv, plan.json.",
            Takes::Nothing,
            Gives::File(&["text/csv", "application/json"], "The list."),
        )
    },
    page("/", "The book list."),
    form("/plans", "Makes a plan."),
    Address {
        gives: Gives::Onward,
        ..page("/plans/{plan}", "Leads to the cut of the plan.")
    },
    page("/plans/{plan}/cut", "The cut."),
    blanks("/plans/{plan}/cut", "Writes blanks of the cut."),
    form(
        "/plans/{plan}/cut/shots/{shot}/picture",
        "Takes a picture for a board.",
    ),
    Address {
        also: &[304],
        gives: Gives::File(&["image/webp", "image/jpeg", "image/png"], "The picture."),
        ..page("/plans/{plan}/pictures/{picture}", "A picture of a board.")
    },
    Address {
        gives: Gives::File(&["image/svg+xml"], "The drawing."),
        ..page("/plans/{plan}/boards/{shot}", "A board as it was drawn.")
    },
    page("/plans/{plan}/setups", "The setups, a line each."),
    form("/plans/{plan}/setups", "Adds a setup."),
    page("/plans/{plan}/setups/{code}", "The bench of a setup."),
    blanks("/plans/{plan}/setups/{code}", "Writes blanks of a setup."),
    form(
        "/plans/{plan}/setups/{code}/passes",
        "Adds or strikes out a pass.",
    ),
    form(
        "/plans/{plan}/setups/{code}/things",
        "Puts a thing on the table, or strikes one out.",
    ),
    blanks(
        "/plans/{plan}/setups/{code}/pencil",
        "Shows a setup as it would be, or inks it in.",
    ),
    form(
        "/plans/{plan}/setups/{code}/let-pass",
        "Lets a finding pass, or takes that back.",
    ),
    form("/plans/{plan}/setups/{code}/strike", "Strikes out a setup."),
    page("/plans/{plan}/stores", "Cameras, lenses, stages, pieces."),
    blanks("/plans/{plan}/stores", "Writes blanks of the stores."),
    form(
        "/plans/{plan}/stores/{kind}",
        "Adds something to the stores.",
    ),
    form(
        "/plans/{plan}/stores/{kind}/{id}/strike",
        "Strikes something out of the stores.",
    ),
    page("/plans/{plan}/days", "The stage days."),
    form("/plans/{plan}/days", "Adds a stage day."),
    page("/plans/{plan}/days/{day}", "A stage day to time."),
    blanks("/plans/{plan}/days/{day}", "Writes blanks of a day."),
    blanks(
        "/plans/{plan}/days/{day}/order",
        "Moves a setup in the day.",
    ),
    form(
        "/plans/{plan}/days/{day}/setups",
        "Puts a setup on the day, or takes it off.",
    ),
    form("/plans/{plan}/days/{day}/calls", "Adds a call."),
    form("/plans/{plan}/days/{day}/strike", "Strikes out a day."),
    page("/plans/{plan}/paper", "What can be printed."),
    page("/plans/{plan}/paper/days/{day}", "A call sheet."),
    page("/plans/{plan}/paper/setups/{code}", "A setup sheet."),
    page(
        "/plans/{plan}/import",
        "In and out: bringing a shot list in.",
    ),
    blanks("/plans/{plan}/import", "Takes a shot list to look at."),
    page("/plans/{plan}/import/{list}", "What a shot list says."),
    blanks(
        "/plans/{plan}/import/{list}",
        "Corrects its headings, or stores it.",
    ),
    Address {
        gives: Gives::Nothing("It was noted."),
        ..form(
            "/plans/{plan}/here",
            "Notes which blank the hand at a window is in, for everybody at the table.",
        )
    },
    Address {
        query: &[
            ("who", "Person id."),
            ("thing", "Id of a thing; what hangs on it is shown with it."),
            ("day", "A day, as 2027-03-11."),
            ("batch", "Changes written together."),
            ("before", "Older than this number."),
        ],
        also: &[400],
        ..page("/plans/{plan}/history", "Every change, the newest first.")
    },
    form(
        "/plans/{plan}/history/{seq}",
        "Puts back what a change wrote, or what stood before it.",
    ),
    Address {
        query: &[(
            "thing",
            "Id of a thing; remarks on what hangs on it are shown with its own.",
        )],
        ..page("/plans/{plan}/remarks", "Remarks, the open ones first.")
    },
    Address {
        also: &[422],
        ..form("/plans/{plan}/remarks", "Says a remark.")
    },
    form(
        "/plans/{plan}/remarks/{remark}",
        "Settles a remark, or opens it again.",
    ),
    page(
        "/plans/{plan}/undecided",
        "Every blank that two hands wrote.",
    ),
    Address {
        gives: Gives::Onward,
        ..page(
            "/plans/{plan}/haze",
            "The haze of the first day that has any.",
        )
    },
    page("/plans/{plan}/haze/{day}", "Haze over a stage day."),
    blanks(
        "/plans/{plan}/haze/{day}",
        "Writes blanks of the haze sheet.",
    ),
    Address {
        also: &[422],
        ..form(
            "/plans/{plan}/haze/{day}/readings",
            "Writes a reading of the air, or strikes one out.",
        )
    },
    page(
        "/plans/{plan}/haze/{day}/stage",
        "The smoke of a setup on a phone on the stage.",
    ),
    page(
        "/plans/{plan}/power",
        "What the lamps of each setup draw on which circuit.",
    ),
    form("/plans/{plan}/settle", "Settles what two hands wrote."),
    form("/plans/{plan}/undo", "Rubs out one's own last change."),
    Address {
        tag: "program",
        gives: Gives::File(
            &["text/javascript"],
            "The script that keeps sheets for a browser.",
        ),
        ..page(
            "/keeper.js",
            "Keeps the last sheets readable where the page came over https.",
        )
    },
    page(
        "/crew",
        "Who may write: people, and the links by which others join.",
    ),
    Address {
        gives: Gives::Page,
        also: &[422],
        ..form(
            "/crew/links",
            "Makes a link and shows it once, with its code.",
        )
    },
    form("/crew/links/{link}/withdraw", "Withdraws a link."),
    Address {
        also: &[422],
        ..form(
            "/crew/people/{person}",
            "Changes what somebody may do, signs them out, or takes them off the list.",
        )
    },
    page(
        "/sums",
        "Bench sums: the list of them, found by a few words.",
    ),
    Address {
        also: &[422],
        ..page("/sums/scales", "Candidate scales side by side.")
    },
    Address {
        also: &[422],
        ..page(
            "/sums/{sum}",
            "A sum that crews do daily; its values are in the query.",
        )
    },
    Address {
        also: &[422],
        ..page(
            "/sums/{family}/{calculation}",
            "Any calculation as a page; its values are in the query.",
        )
    },
    page("/notices", "Sources and terms of what is built in."),
    page("/sign-in", "The door."),
    Address {
        also: &[200, 401, 429],
        ..form("/sign-in", "Signs in.")
    },
    form("/sign-out", "Signs out."),
    page("/join/{token}", "What a join link is for."),
    Address {
        also: &[200, 410],
        ..form("/join/{token}", "Uses a join link.")
    },
    page("/me", "What a person says about themselves."),
    blanks("/me", "Writes it."),
    form("/me/elsewhere", "Ends one's other sessions."),
    form("/look", "Lights up or blackout, kept by this browser."),
    Address {
        tag: "program",
        gives: Gives::File(
            &["text/css", "text/javascript", "font/woff2", "image/svg+xml"],
            "The file.",
        ),
        ..page("/static/{hash}/{*path}", "Styles, scripts and lettering.")
    },
];
