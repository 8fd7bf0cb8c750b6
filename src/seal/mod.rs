//! Digests and signatures over bytes; it does not know what it seals.
