"""What every test may use: the browser and its pages."""

pytest_plugins = ["browser"]
