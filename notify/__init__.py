"""What people are told: the digest's text, the channels that carry it, and the outbox."""
