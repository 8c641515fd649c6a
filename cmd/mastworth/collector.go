package main

// aside is how much memory is set aside for the collector to count, bytes.
const aside = 8 << 20

// calmCollector makes the garbage collector run less often while little memory is in use, until the returned value is let go: it starts
// when memory has doubled, and doubling the little that an idle service holds takes some forty estimates, so that collecting would be a
// quarter of the work. What is set aside is never touched, so that the machine gives no memory for it; a service that holds much is
// not held to more than this above it. (Setting a percentage would be worse: it would hold for a full cache as well.)
func calmCollector() []byte { return make([]byte, aside) }
