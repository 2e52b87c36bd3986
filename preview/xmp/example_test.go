package xmp_test

import (
	"errors"
	"fmt"

	"garner/preview/xmp"
)

// What an edit does not name keeps its bytes: quotes, order, comments, odd
// blanks. A value is replaced where and how it stands.
func ExampleDoc_Apply() {
	doc, err := xmp.Parse([]byte(`<rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'>
  <rdf:Description   xmlns:xap='http://ns.adobe.com/xap/1.0/' xap:Rating = '3'>
    <!-- as it came --><xap:Label>blue</xap:Label>
  </rdf:Description>
</rdf:RDF>`))
	if err != nil {
		fmt.Println(err)
		return
	}
	out, err := doc.Apply([]xmp.Edit{
		{NS: xmp.NSXMP, Prefix: "xmp", Name: "Rating", Value: "-1"},
		{NS: xmp.NSXMPDM, Prefix: "xmpDM", Name: "good", Value: "False"},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s\n", out)
	// Output:
	// <rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'>
	//   <rdf:Description   xmlns:xap='http://ns.adobe.com/xap/1.0/' xap:Rating = '-1'>
	//     <!-- as it came --><xap:Label>blue</xap:Label><xmpDM:good xmlns:xmpDM='http://ns.adobe.com/xmp/1.0/DynamicMedia/'>False</xmpDM:good>
	//   </rdf:Description>
	// </rdf:RDF>
}

// Errors tell a document that is broken from a property that does not fit.
func ExamplePropertyError() {
	doc, err := xmp.New(xmp.Namespace{URI: xmp.NSXMP, Prefix: "xmp"})
	if err != nil {
		fmt.Println(err)
		return
	}
	_, err = doc.Apply([]xmp.Edit{{NS: xmp.NSXMP, Prefix: "xmp", Name: "Label", Value: "\x00"}})
	var refused *xmp.PropertyError
	fmt.Println(errors.As(err, &refused), refused.Name, refused.Reason)

	_, err = xmp.Parse([]byte("<a>"))
	fmt.Println(err)
	// Output:
	// true Label value holds a character that XML does not allow
	// xmp: invalid format: document ends within an element at byte 3
}

func ExampleReadRating() {
	stars, ok := xmp.ReadRating([]byte(`<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmp:Rating="4"/></rdf:RDF>`))
	fmt.Println(stars, ok)
	// Output: 4 true
}
