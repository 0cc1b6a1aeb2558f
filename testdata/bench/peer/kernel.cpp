// Distances between tubes and their neighbours by a general CAD kernel
// (OpenCASCADE, Debian: libocct-modeling-algorithms-dev), which knows lines, arcs
// and solids exactly. calc/clear is checked against it and timed beside it.
//
// Reads a scene from standard input, numbers in mm, and prints a line for every
// pair: distance and CPU time in microseconds. What a shape is made of follows it:
//
//	path N         N elements: line A B | arc A B MID
//	point C | edge A B | box CORNER SIZE X Z | cylinder FROM DIR LENGTH RADIUS | plane AT NORMAL
//	pair I J       of the shapes so far, from 0
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakeVertex.hxx>
#include <BRepExtrema_DistShapeShape.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <BRep_Builder.hxx>
#include <GC_MakeArcOfCircle.hxx>
#include <TopoDS_Compound.hxx>
#include <gp_Pln.hxx>

#include <cstdio>
#include <ctime>
#include <iostream>
#include <string>
#include <vector>

static double number() {
	double v;
	if (!(std::cin >> v)) {
		std::fprintf(stderr, "a number is missing\n");
		std::exit(1);
	}
	return v;
}

static gp_Pnt point() {
	double x = number(), y = number(), z = number();
	return gp_Pnt(x, y, z);
}

static gp_Dir direction() { return gp_Dir(point().XYZ()); }

static TopoDS_Shape path() {
	TopoDS_Compound all;
	BRep_Builder builder;
	builder.MakeCompound(all);
	std::string kind;
	for (int n = int(number()); n > 0; n--) {
		std::cin >> kind;
		gp_Pnt a = point(), b = point();
		if (kind == "line") {
			builder.Add(all, BRepBuilderAPI_MakeEdge(a, b).Edge());
		} else {
			gp_Pnt mid = point();
			builder.Add(all, BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(a, mid, b).Value()).Edge());
		}
	}
	return all;
}

static double cpu() {
	timespec t;
	clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
	return t.tv_sec * 1e6 + t.tv_nsec / 1e3;
}

int main() {
	std::vector<TopoDS_Shape> shapes;
	std::string word;
	while (std::cin >> word) {
		if (word == "path") {
			shapes.push_back(path());
		} else if (word == "point") {
			shapes.push_back(BRepBuilderAPI_MakeVertex(point()).Vertex());
		} else if (word == "edge") {
			gp_Pnt a = point(), b = point();
			shapes.push_back(BRepBuilderAPI_MakeEdge(a, b).Edge());
		} else if (word == "box") {
			gp_Pnt corner = point(), size = point();
			gp_Dir x = direction(), z = direction();
			shapes.push_back(BRepPrimAPI_MakeBox(gp_Ax2(corner, z, x), size.X(), size.Y(), size.Z()).Shape());
		} else if (word == "cylinder") {
			gp_Pnt from = point();
			gp_Dir dir = direction();
			double length = number(), radius = number();
			shapes.push_back(BRepPrimAPI_MakeCylinder(gp_Ax2(from, dir), radius, length).Shape());
		} else if (word == "plane") {
			gp_Pnt at = point();
			gp_Dir normal = direction();
			shapes.push_back(BRepBuilderAPI_MakeFace(gp_Pln(at, normal), -1e4, 1e4, -1e4, 1e4).Face());
		} else if (word == "pair") {
			int i = int(number()), j = int(number());
			double began = cpu();
			BRepExtrema_DistShapeShape found(shapes.at(i), shapes.at(j), Extrema_ExtFlag_MIN);
			double took = cpu() - began;
			std::printf("%.12g %.3f\n", found.IsDone() ? found.Value() : -1, took);
		} else {
			std::fprintf(stderr, "%s: not known\n", word.c_str());
			return 1;
		}
	}
}
