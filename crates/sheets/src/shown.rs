//! Words of a page put otherwise, its tags left alone; words of drawings and documents put as the room file says.

use plan::Plan;
use quantities::numerals::Decimals;

/// Puts words into the manner of numbers a room file names: decimals with a comma, but for the names of room and place. None where it names none.
pub(crate) fn numbers(plan: &Plan) -> Option<impl FnMut(&mut String)> {
    let decimals = plan.decimals().filter(|decimals| *decimals == Decimals::Comma)?;
    let kept: Vec<&str> =
        [Some(plan.title.name.as_str()), plan.title.place.as_deref()].into_iter().flatten().collect();
    Some(move |words: &mut String| *words = decimals.in_words_but(words, &kept).into_owned())
}

/// A page of HTML with all that is read in it put by `put`, which adds to what it is handed. Tags stay, and so does what stands in a
/// text field, a script or a style, or is to be typed as it stands.
pub fn in_html(page: &str, put: &mut dyn FnMut(&str, &mut String)) -> String {
    let mut shown = String::with_capacity(page.len() + page.len() / 16);
    let mut rest = page;
    let mut verbatim = false;
    while let Some(start) = rest.find('<') {
        let (words, tag_on) = rest.split_at(start);
        if verbatim {
            shown.push_str(words);
        } else {
            put(words, &mut shown);
        }
        let end = tag_on.find('>').map_or(tag_on.len(), |end| end + 1);
        let (tag, after) = tag_on.split_at(end);
        for element in ["textarea", "script", "style", "code"] {
            verbatim |= tag.strip_prefix('<').is_some_and(|tag| tag.starts_with(element));
            verbatim &= !tag.strip_prefix("</").is_some_and(|tag| tag.starts_with(element));
        }
        shown.push_str(tag);
        rest = after;
    }
    if verbatim {
        shown.push_str(rest);
    } else {
        put(rest, &mut shown);
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::in_html;

    #[test]
    fn words_are_put_otherwise_and_tags_are_not() {
        let page = "a<p a=\"a\">a</p><code>a</code>a<style>a</style><textarea>a";
        let put = in_html(page, &mut |words, shown| shown.push_str(&words.replace('a', "b")));
        assert_eq!(put, "b<p a=\"a\">b</p><code>a</code>b<style>a</style><textarea>a");
        assert_eq!(in_html("<p", &mut |_, _| {}), "<p");
    }
}
