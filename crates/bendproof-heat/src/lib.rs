//! Heat conduction under a moving arc: closed forms.
