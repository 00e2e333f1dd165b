"""What all tests share."""

from __future__ import annotations

from hypothesis import settings

# A busy machine is slow, not wrong; speed is measured in bench/, never in a test.
settings.register_profile('patient', deadline=None)
settings.load_profile('patient')
