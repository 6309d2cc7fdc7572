"""HTTP: the only room that knows the web framework. Schemas say what is taken and given, views call one use case."""
