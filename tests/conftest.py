"""What every test may use: the browser and its pages, a sewing room and its visitors; and nothing is timed."""

from effort import tries
from hypothesis import HealthCheck, settings

pytest_plugins = ["browser", "visitors", "house", "dialling", "scripts"]

# On a busy machine the same examples take as long as they take.
settings.register_profile(
    "untimed", max_examples=tries(100, 50), deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("untimed")
