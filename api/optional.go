package api

import (
	"reflect"

	"github.com/danielgtaylor/huma/v2"
)

// Schema is that of the value.
func (o optional[T]) Schema(r huma.Registry) *huma.Schema {
	return huma.SchemaFromType(r, reflect.TypeFor[T]())
}

// Receiver tells huma where to put the value.
func (o *optional[T]) Receiver() reflect.Value { return reflect.ValueOf(o).Elem().Field(0) }

// OnParamSet is told whether the parameter was there.
func (o *optional[T]) OnParamSet(given bool, _ any) { o.Given = given }
