//! A finding that a named person let pass, with the reason and the values it was accepted at.

use crate::{
    journal::value::{Id, Text},
    record,
};

record! {
    /// What a named person did to a finding: it goes to the end of its list, and comes back when its values change.
    LetPass, "finding let pass" in "let_pass" list "let_pass" {
        /// The setup it was found in.
        setup: Option<Id> = reference("setup").needed(), "Setup";
        /// The pass it was found in.
        pass: Option<Id> = reference("pass"), "Pass";
        /// The rule that found it.
        rule: Text = text(60).needed(), "Rule";
        /// The values it was accepted at, as the finding said them.
        accepted: Text = text(500), "Accepted at";
        /// Why.
        reason: Text = text(240).needed(), "Reason";
        /// Who let it pass.
        let_by: Text = text(60), "By";
        /// On which day.
        let_on: Text = date(), "On";
    }
}
