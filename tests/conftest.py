"""What every test may use: the browser and its pages, a sewing room and its visitors."""

pytest_plugins = ["browser", "visitors", "house"]
