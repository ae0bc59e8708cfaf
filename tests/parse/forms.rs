//! Every form of the language, as tree.
