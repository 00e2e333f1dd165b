"""What goes over the wire: the shapes of requests and answers, from which OpenAPI follows."""
