"""The page: the only place that knows Dash and Plotly."""
