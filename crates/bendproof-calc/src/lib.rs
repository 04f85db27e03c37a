//! Each published formula on its own, by name, with units and source.
