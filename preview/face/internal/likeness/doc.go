// Package likeness runs the network that describes a face by 128 numbers, of which
// two of one person lie near each other: the residual network that dlib's author
// trained and published (dnn_face_recognition_ex, dlib_face_recognition_resnet_model_v1,
// "ResNet with 29 convolutions"), with the weights as the npm package
// @vladmandic/face-api has them: most of them in a byte.
//
// What it returns is biometric data. Nothing is kept here.
package likeness
