//! CommonMark with mentions: the only file that names pulldown-cmark.
