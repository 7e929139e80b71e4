//! Remarks: on a thing and on what hangs on it, in the title block, settled and opened again.

use crate::harness::{Answer, Book, op};
use axum::{
    body::Body,
    http::{Request, StatusCode},
};
use serde_json::json;
use stillair::{access::Role, journal::value::Id};

const WORDS: &str = "The second line shows & glints at f/11";

struct Told {
    book: Book,
    plan: String,
    setup: String,
    thing: String,
}

async fn told() -> Told {
    let book = Book::new().await;
    let plan = book.plan().await;
    let (setup, thing) = (Id::new().to_string(), Id::new().to_string());
    let ops = json!([
        op(
            "insert",
            json!({"entity_type": "setup", "entity": setup, "value": {"code": "S3", "name": "Nave"}})
        ),
        op(
            "insert",
            json!({"entity_type": "placement", "entity": thing, "value": {"setup": setup, "kind": "lamp", "name": "key"}})
        ),
        op(
            "insert",
            json!({"entity_type": "setup", "entity": Id::new().to_string(), "value": {"code": "S4"}})
        ),
    ]);
    let answer = book
        .post_json(&format!("/api/plans/{plan}/changes"), &ops)
        .await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text);
    Told {
        book,
        plan,
        setup,
        thing,
    }
}

impl Told {
    async fn sheet(&self, path: &str) -> String {
        self.book
            .get(&format!("/plans/{}{path}", self.plan))
            .await
            .text
    }

    /// The title block's cell of a sheet.
    async fn block(&self, path: &str) -> String {
        let page = self.sheet(path).await;
        let from = page.find("id=\"remarked\"").expect("a cell");
        page[from..]
            .split("</div>")
            .next()
            .expect("its end")
            .to_owned()
    }

    async fn say(&self, thing: &str, words: &str) -> Answer {
        let path = format!("/plans/{}/remarks", self.plan);
        self.book
            .post_form(&path, &[("thing", thing), ("words", words)])
            .await
    }
}

#[tokio::test]
async fn a_remark_is_seen_where_its_thing_is_until_it_is_settled() {
    let told = told().await;
    assert!(told.block("/setups/S3").await.contains("Say one"));
    // On the lamp that stands in the setup.
    assert_eq!(
        told.say(&told.thing, WORDS).await.status,
        StatusCode::SEE_OTHER
    );
    let block = told.block("/setups/S3").await;
    assert!(
        block.contains("1 open") && block.contains("The second line shows &#38; glints"),
        "{block}"
    );
    assert!(
        told.block("/cut").await.contains("1 open"),
        "the cut has all of them"
    );
    assert!(
        told.block("/setups/S4").await.contains("Say one"),
        "another setup has none"
    );
    let list = told.sheet(&format!("/remarks?thing={}", told.setup)).await;
    assert!(
        list.contains("S3 Nave, key") || list.contains("S3, key"),
        "{list}"
    );
    let at = list
        .split("action=\"")
        .find(|a| a.contains("/remarks/"))
        .expect("its form");
    let path = at.split('"').next().expect("an address").to_owned();
    let settled = told.book.post_form(&path, &[("do", "settle")]).await;
    assert_eq!(settled.status, StatusCode::SEE_OTHER, "{}", settled.text);
    assert!(told.block("/setups/S3").await.contains("Say one"));
    let list = told.sheet("/remarks").await;
    assert!(
        list.contains("settled by lead") && list.contains("Nothing is open."),
        "{list}"
    );
    told.book.post_form(&path, &[("do", "open")]).await;
    assert!(told.block("/setups/S3").await.contains("1 open"));
    // One press is one undo.
    told.book
        .post_form(&format!("/plans/{}/undo", told.plan), &[("back", "/")])
        .await;
    assert!(told.block("/setups/S3").await.contains("Say one"));
}

#[tokio::test]
async fn an_empty_or_endless_remark_is_refused_and_a_guest_says_none() {
    let told = told().await;
    let empty = told.say(&told.setup, "   ").await;
    assert_eq!(empty.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(empty.text.contains("Write a few words first."));
    let endless = told.say(&told.setup, &"word ".repeat(80)).await;
    assert_eq!(endless.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        endless.text.contains("value=\"word word"),
        "what was typed stays"
    );
    assert_eq!(told.say("nothing", "x").await.status, StatusCode::NOT_FOUND);
    for (role, may) in [(Role::Guest, false), (Role::Supervisor, true)] {
        let cookie = told.book.cookie_of(role).await;
        let request = Request::post(format!("/plans/{}/remarks", told.plan))
            .header("content-type", "application/x-www-form-urlencoded");
        let answer = told
            .book
            .send_as(&cookie, request, "thing=&words=seen")
            .await;
        assert_eq!(
            answer.status != StatusCode::FORBIDDEN,
            may,
            "{}",
            role.word()
        );
        let read = told
            .book
            .send_as(
                &cookie,
                Request::get(format!("/plans/{}/remarks", told.plan)),
                Body::empty(),
            )
            .await;
        assert_eq!(read.status, StatusCode::OK);
        assert_eq!(read.text.contains("id=\"say\""), may);
    }
}
