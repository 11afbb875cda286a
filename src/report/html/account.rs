//! The level account and the differences from an earlier run, as tables.

use crate::report::document::{Account, AccountPart, AccountRow};
use crate::report::words::escape;

/// The account's table, empty where no level was noted.
pub(super) fn table(account: Option<&Account>) -> String {
    headed(account, "Level account", "What was read on the reservoir, and what follows from it; each number with its 95 % interval.", false)
}

/// The differences' table, empty where nothing was compared.
pub(super) fn differences(differences: Option<&Account>) -> String {
    headed(differences, "Against the earlier run", "What moved since then; each number with its 95 % interval.", true)
}

/// The numbers of what moved, where the page is about nothing else.
pub(in crate::report) fn numbers(account: &Account) -> String {
    headed(Some(account), "In numbers", "Each number with its 95 % interval.", false)
}

fn headed(account: Option<&Account>, title: &str, caption: &str, lead: bool) -> String {
    let Some(account) = account.filter(|account| !account.parts.is_empty()) else { return String::new() };
    let parts: String = account.parts.iter().map(part).collect();
    let brief: String =
        if lead { account.in_brief.iter().map(|sentence| format!("<p>{}</p>\n", escape(sentence))).collect() } else { String::new() };
    let remarks: String = account.remarks.iter().map(|remark| format!("<p class=\"remark\">{}</p>\n", escape(remark))).collect();
    format!(
        "<section class=\"account\">\n<h2>{title}</h2>\n{brief}<table>\n\
         <caption>{caption}</caption>\n\
         <thead><tr><th scope=\"col\">What</th><th scope=\"col\">Value</th><th scope=\"col\">95 % interval</th></tr></thead>\n\
         {parts}</table>\n{remarks}</section>\n"
    )
}

fn part(part: &AccountPart) -> String {
    let rows: String = part.rows.iter().map(row).collect();
    format!("<tbody>\n<tr><th scope=\"rowgroup\" colspan=\"3\" class=\"part\">{}</th></tr>\n{rows}</tbody>\n", escape(&part.title))
}

fn row(row: &AccountRow) -> String {
    format!(
        "<tr{}><th scope=\"row\">{}</th><td class=\"number value\">{}</td><td class=\"number\">{}</td></tr>\n",
        if row.result { " class=\"result\"" } else { "" },
        escape(&row.label),
        escape(&row.words.value),
        escape(&row.words.interval)
    )
}
